package driver

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLoadRefusesAnUnknownName(t *testing.T) {
	_, err := Load("tape")
	assert.Equal(t, UnknownAPI, err)
	assert.False(t, Compiled("tape"))
	for _, name := range APIs() {
		drv, err := Load(name)
		assert.NotEqual(t, UnknownAPI, err, name)
		if err == nil {
			drv.Close()
		}
	}
}
