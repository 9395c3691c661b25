package tide_test

import (
	"fmt"
	"time"

	"ledgehand/conditions/tide"
)

// NOAA CO-OPS published 3.471, 3.831 and 4.074 m above its station datum for Kings Bay (8679598) at 00, 01 and 02 UTC on
// 1 January 2021 (mean sea level stands 3.539 m above that datum).
func ExamplePredictor_Heights() {
	p, err := tide.Open("noaa/8679598", tide.WithMode(tide.Year), tide.WithMeanLevel(3.539))
	if err != nil {
		fmt.Println(err)
		return
	}
	from := time.Date(2021, time.January, 1, 0, 0, 0, 0, time.UTC)
	for _, h := range p.Heights(from, from.Add(2*time.Hour), time.Hour) {
		fmt.Printf("%.3f\n", h)
	}
	// Output:
	// 3.471
	// 3.831
	// 4.074
}
