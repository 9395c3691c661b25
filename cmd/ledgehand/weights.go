package main

import (
	"fmt"
	"os"

	"ledgehand/session/catch/weight"
)

// weightsSetting names the table of lengths and weights that is used.
const weightsSetting = "LEDGEHAND_WEIGHTS"

// weights is the table of the setting: a CSV file, "open" for the rows nobody can have a right in, "" for the bundled one.
func weights(setting string) (*weight.Table, error) {
	switch setting {
	case "":
		return weight.Bundled(), nil
	case "open":
		return weight.Open(), nil
	}
	f, err := os.Open(setting)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", weightsSetting, err)
	}
	defer func() { _ = f.Close() }() // only read
	t, err := weight.Parse(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", weightsSetting, err)
	}
	return t, nil
}
