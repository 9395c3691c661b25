package main

import (
	"encoding/json"
	"errors"
	"os"
	"sync"

	"ledgehand/session/catch/weight"
)

// weightsOnce reads the table of the setting at the first question.
var weightsOnce = sync.OnceValues(func() (*weight.Table, error) { return weights(os.Getenv(weightsSetting)) })

func calcWeight(raw json.RawMessage) (any, error) {
	var q struct {
		Species string  `json:"species"`
		Measure string  `json:"measure"`
		Length  float64 `json:"length_cm"`
	}
	if err := errors.Join(need(raw, "species", "length_cm"), read(raw, &q)); err != nil {
		return nil, err
	}
	table, err := weightsOnce()
	if err != nil {
		return nil, err
	}
	e, err := table.Of(q.Species, weight.Measure(q.Measure), q.Length)
	var no *weight.Refused
	if errors.As(err, &no) {
		return map[string]any{"refused": string(no.Why), "reason": no.Detail}, nil
	}
	if err != nil {
		return nil, err
	}
	return struct {
		Grams     float64 `json:"weight_g"`
		Quality   string  `json:"quality"`
		Converted bool    `json:"converted,omitempty"`
		Outside   bool    `json:"outside_studied_lengths,omitempty"`
		Source    string  `json:"source,omitempty"`
	}{round(e.Grams, 1), string(e.Quality), e.Converted, e.Outside, e.Source}, nil
}
