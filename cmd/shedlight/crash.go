package main

import (
	"fmt"
	"os"
	"runtime/debug"
)

// crash is a fault of ours that was caught, with the stack where it was.
type crash struct {
	fault any
	stack []byte
}

func (c *crash) Error() string { return fmt.Sprintf("shedlight has crashed: %v", c.fault) }

// caught makes a crash of what recover returns; nil where that is nil. It is called
// while the fault's stack is still there.
func caught(fault any) error {
	if fault == nil {
		return nil
	}
	return &crash{fault: fault, stack: debug.Stack()}
}

// reported writes the report of a crash and says where it is.
func (p *program) reported(c *crash) {
	if p.json {
		p.fail("%v", c)
	} else {
		p.say("%v", c)
	}
	report := fmt.Sprintf("shedlight %s\n%v\n%s\n", version(), c, c.stack)
	log, err := openLog(crashLog, os.O_APPEND)
	if err == nil {
		_, err = log.WriteString(report)
		log.Close()
	}
	if err != nil || log.Name() == os.DevNull {
		p.say("%s", report)
		return
	}
	p.say("The report is in %s: please send it to us.", log.Name())
}
