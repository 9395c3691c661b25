package sky

import (
	"fmt"
	"time"

	"ledgehand/conditions/measure"
)

// The years for which Meeus (chapter 25) gives the low-precision sun as good to 0.01 degrees.
const (
	firstYear = 1900
	lastYear  = 2100
)

// YearError refuses a date outside the years the formulas are stated for.
type YearError struct {
	Year int
}

func (e *YearError) Error() string {
	return fmt.Sprintf("year %d: outside %d to %d", e.Year, firstYear, lastYear)
}

func checkYear(year int) error {
	if year < firstYear || year > lastYear {
		return &YearError{Year: year}
	}
	return nil
}

func check(p measure.Position, t time.Time) error {
	if err := p.Check(); err != nil {
		return fmt.Errorf("sky: %w", err)
	}
	if err := checkYear(t.UTC().Year()); err != nil {
		return fmt.Errorf("sky: %w", err)
	}
	return nil
}
