package wave_test

import (
	"fmt"
	"math"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// USACE, Coastal Engineering Manual, example problem II-1-1: a wave of 10 s in 200 m and in 3 m
// of water, g = 9.8 m/s². Published: L = 156 m, C = 15.6 m/s; and, looked up in a printed table,
// L = 53.2 m, C = 5.32 m/s, where the exact solution rounds to 53.1 and 5.31.
func ExampleSolve() {
	for _, depth := range []measure.Metres{200, 3} {
		w, err := wave.Solve(10, depth, 9.8)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%v m deep: L = %.1f m, C = %.2f m/s\n", depth, w.Length, w.Celerity)
	}
	// Output:
	// 200 m deep: L = 156.0 m, C = 15.60 m/s
	// 3 m deep: L = 53.1 m, C = 5.31 m/s
}

// DNV, Pierson-Moskowitz sea of Tz = 10 s: Tp 14.077 s, wave length 309.4 m, phase velocity
// 21.979 m/s, group velocity 10.989 m/s, g = 9.81 m/s².
func ExampleConvert() {
	tp, err := wave.Convert(10, wave.Zero, wave.Peak, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := wave.Solve(tp, measure.Metres(math.Inf(1)), 9.81)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("Tp %.3f s, L %.1f m, C %.2f m/s, Cg %.2f m/s\n", tp, w.Length, w.Celerity, w.Group)
	// Output:
	// Tp 14.077 s, L 309.4 m, C 21.98 m/s, Cg 10.99 m/s
}

// USACE, Coastal Engineering Manual, example problem II-4-1: a deep-water wave of 2 m and 10 s on
// a 1:100 slope breaks 2.7 m high in 3.2 m of water.
func ExampleBreak() {
	b, err := wave.Break(2, 10, 0.01, 9.81)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f m high in %.1f m\n", b.Height, b.Depth)
	// Output:
	// 2.7 m high in 3.2 m
}

// US National Weather Service wind chill chart: 40 F with 5 mph feels like 36, -10 F with 55 mph
// like -46.
func ExampleWindChillF() {
	for _, in := range [][2]float64{{40, 5}, {-10, 55}} {
		f, err := wave.WindChillF(in[0], in[1])
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.0f\n", f)
	}
	// Output:
	// 36
	// -46
}

// Longuet-Higgins (1952): the highest of 1000 waves is most often 1.86 times the significant height.
func ExampleHeightLaw_LargestOf() {
	l, err := wave.Rayleigh().LargestOf(1000)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f Hs, nine in ten below %.2f Hs\n", l.MostProbable, l.P90)
	// Output:
	// 1.86 Hs, nine in ten below 2.14 Hs
}
