package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/cmd/shedlight/internal/reviews"
)

// A report is written piece by piece and reads as one object written at once,
// in the order of the contract; what a terminal obeys is escaped all over it.
func TestReportAsOneObject(t *testing.T) {
	for _, notes := range []int64{0, 1, 3000} {
		r := reviews.Report{File: "a\u009b.mid", Damage: []reviews.Damage{{Offset: 3, Text: "\u202e"}}}
		findings, phrases := []analyse.Finding{}, []phrase.Phrase{}
		r.Title = "Lindmouth\u0085"
		for n := range notes {
			findings = append(findings, analyse.Finding{Stage: analyse.Heard, N: n, Name: "Bb", Chord: "C7\u2066<b>"})
			phrases = append(phrases, phrase.Phrase{Number: n + 1})
		}
		whole, err := json.Marshal(struct {
			Schema int    `json:"schema"`
			File   string `json:"file"`
			*reviews.Outcome
			Damage   []reviews.Damage  `json:"damage"`
			Findings []analyse.Finding `json:"findings"`
			Phrases  []phrase.Phrase   `json:"phrases_detail"`
		}{Schema: 1, File: r.File, Outcome: &r.Outcome, Damage: r.Damage, Findings: findings, Phrases: phrases})
		require.NoError(t, err)
		var got pieces
		require.NoError(t, writeLong(&got, &r, listOf("findings", each(findings)), listOf("phrases_detail", each(phrases))))
		require.Equal(t, string(escaped(whole))+"\n", got.String())
		require.Less(t, got.largest, 16<<10, "the text of a long take is never whole in memory")
	}
}

// pieces keeps what is written, and how much at once.
type pieces struct {
	bytes.Buffer
	largest int
}

func (p *pieces) Write(b []byte) (int, error) {
	p.largest = max(p.largest, len(b))
	return p.Buffer.Write(b)
}

// A list that is put aside is written as it would be without, be it held or too long for
// that.
func TestListPutAside(t *testing.T) {
	for _, elements := range []int{0, 3, 40} {
		all := make([]phrase.Phrase, elements)
		var phrases aside[phrase.Phrase]
		for i := range all {
			all[i].Start.Name = strings.Repeat("x", mostAside/30)
			phrases.add(&all[i])
		}
		require.Equal(t, elements > 30, phrases.full)
		require.LessOrEqual(t, len(phrases.texts), 30)
		var held, told bytes.Buffer
		require.NoError(t, writeLong(&held, &reviews.Report{}, phrases.list("phrases_detail", each(all))))
		require.NoError(t, writeLong(&told, &reviews.Report{}, listOf("phrases_detail", each(all))))
		require.True(t, bytes.Equal(told.Bytes(), held.Bytes()))
	}
}

// That not everything could be written is an error, and nothing more is made.
func TestReportThatCannotBeWritten(t *testing.T) {
	full := errors.New("no space left")
	for _, room := range []int{1, 50_000} {
		made := 0
		endless := func(yield func(*analyse.Finding) bool) {
			for yield(&analyse.Finding{}) {
				made++
			}
		}
		require.ErrorIs(t, writeLong(&short{room: room, err: full}, &reviews.Report{}, listOf("findings", endless)), full)
		require.Less(t, made, 1000)
	}
}

// short takes so many bytes.
type short struct {
	room int
	err  error
}

func (s *short) Write(b []byte) (int, error) {
	if s.room -= len(b); s.room < 0 {
		return 0, s.err
	}
	return len(b), nil
}
