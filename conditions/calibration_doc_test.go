package conditions

import (
	"fmt"
	"strings"

	"ledgehand/conditions/ledge"
)

// The result in the docs.

const calibrationHead = `# Do stated chances mean what they say?

Written by ` + "`go test ./conditions -run TestCalibration -calibrate -timeout 20m`" + ` (some minutes; seed %d); a short form of it runs with every
test and compares. It is a simulation: nothing here has been tested against a real ledge.

How it is made. Ledges are invented: vertical and sloping faces, lips that usual days reach often, seldom or hardly ever, and a
true run-up coefficient about the formula's. Seas are random and linear, JONSWAP with peak enhancement 1 to 7, surface by Fourier sum, single
waves by zero up-crossing, so that they come in sets; a wave washes if kappa H passes the freeboard, over the tide of a real station. The
program sees only forecasts, which err as reference and chain assume, watches of 20 minutes kept as the bot keeps them, and answers
through ` + "`Assess`" + `. What then happens in a stay of 2 to 4 hours, asked for 6 to 72 hours ahead, is drawn anew.

Two things hold by the way the chain is made and are not faults: an hour is judged at its highest water, and waves are counted as if each
came alone and by the Rayleigh law. Both make washes look more likely than they are, up to ten points in the middle of the scale.

**The bar**: in no range of stated chances, after no number of watches, may washes be more frequent than stated by more than 2 points beyond
two standard errors; and no more than 5 %% + 2 points of the biggest waves may pass the "bad case", or of the true kappas lie above the 90 %%
that are reckoned with. Below the bar is the safe side, and allowed.

**Result: %s**

`

const calibrationFoot = `
What this does not show: that the formula's run-up is right on average for natural rock, that 0.35 is how far ledges scatter about it, or that
forecasts err as assumed; the table of other worlds says what happens if they do not. Breaking waves, gullies, focusing and spray are in
neither the chain nor the simulation. A chance that is right over many ledges and days may be wrong for one.
`

// calibrationDoc renders the whole result. main is asAssumed; others are the worlds that are not, after counts of their own.
func calibrationDoc(seed uint64, counts []int, main []tale, others []otherWorld, otherCounts []int) string {
	var b strings.Builder
	result := fmt.Sprintf("the bar is kept in the world the chain assumes (%d ledges).", len(main))
	if bad := unsafe(main, counts, deciles, enoughCases); len(bad) > 0 {
		result = "the bar is NOT kept: " + strings.Join(bad, "; ") + "."
	}
	fmt.Fprintf(&b, calibrationHead, seed, result)

	b.WriteString("## Stated against washed, by watches\n\nMean stated chance → share of stays with at least one wave over the lip, in per cent (stays).\n\n")
	b.WriteString("| stated | no watch |")
	for _, n := range counts[1:] {
		fmt.Fprintf(&b, " after %d |", n)
	}
	b.WriteString("\n|---|" + strings.Repeat("--:|", len(counts)) + "\n")
	for d := range deciles {
		fmt.Fprintf(&b, "| %d–%d %% |", 10*d, 10*d+10)
		for i := range counts {
			x := bands(main, i, deciles)[d]
			fmt.Fprintf(&b, " %.1f → %.1f (%d) |", 100*x.stated, 100*x.washed, x.cases)
		}
		b.WriteString("\n")
	}

	b.WriteString("\n## What watches are worth\n\n")
	b.WriteString("| watches | Brier score | biggest wave past the bad case | in the 90 % interval | kappa below its 90 % | above | spread of ln kappa | called calibrated |\n|--:|--:|--:|--:|--:|--:|--:|--:|\n")
	all := make([]score, len(counts))
	for i, n := range counts {
		z := scoreOf(main, i, nil)
		all[i] = z
		fmt.Fprintf(&b, "| %d | %.4f ± %.4f | %.1f %% | %.1f %% | %.1f %% | %.1f %% | %.3f | %.0f %% |\n",
			n, z.brier, z.brierError, 100*z.pastBad, 100*z.within, 100*z.kappaBelow, 100*z.kappaAbove, z.spread, 100*z.calibrated)
	}
	b.WriteString(`
The Brier score is the mean squared difference between stated chance and what happened; 0.25 is a coin. The interval is that of the biggest
wave over the lip; what lies outside lies mostly below, as waves stay smaller than the chain takes them. Kappa is the true one as the forecast
sees it, its lasting error at the ledge included, and as the Rayleigh law does: simulated seas have as many high waves as that law gives for
a kappa 0.95 as great.
`)
	b.WriteString("\n" + worthTrusting(counts, all) + "\n")

	five := at(counts, 5)
	b.WriteString("\nOf five watches, how many were wet decides what they taught:\n\n| wet of five | ledges | spread of ln kappa | called calibrated | Brier before | after | stated after | washed |\n|--:|--:|--:|--:|--:|--:|--:|--:|\n")
	for _, w := range [][2]int{{0, 0}, {1, 1}, {2, 3}, {4, 5}} {
		var some []tale
		for _, x := range main {
			if wet := x.said[five].wet; w[0] <= wet && wet <= w[1] {
				some = append(some, x)
			}
		}
		z, before := scoreOf(some, five, nil), scoreOf(some, 0, nil)
		name := fmt.Sprint(w[0])
		if w[1] != w[0] {
			name = fmt.Sprintf("%d or %d", w[0], w[1])
		}
		fmt.Fprintf(&b, "| %s | %d | %.3f | %.0f %% | %.4f | %.4f | %.1f %% | %.1f %% |\n",
			name, z.cases, z.spread, 100*z.calibrated, before.brier, z.brier, 100*z.stated, 100*z.washed)
	}

	b.WriteString("\n## The words\n\n| verdict | watches | share of stays | mean stated | washed |\n|---|--:|--:|--:|--:|\n")
	for _, v := range []ledge.Verdict{ledge.NotExpected, ledge.CouldBe, ledge.LikelyWashed} {
		for _, n := range []int{0, 5, 12} {
			z := byVerdict(main, at(counts, n), v)
			fmt.Fprintf(&b, "| %s | %d | %.0f %% | %.1f %% | %.1f %% |\n", v, n, 100*float64(z.cases)/float64(len(main)), 100*z.stated, 100*z.washed)
		}
	}

	b.WriteString(`
## Other worlds

The same chain where its assumptions do not hold. Worst: the one of five ranges of stated chances (up to
10, 35, 65, 90 and 100 %) where it washed most above what was stated, in points ± one standard error; minus is the safe side. Past bad: share
of stays whose biggest wave passed the bad case, 5 % if it is right. A mark ! is past the bar.

`)
	b.WriteString("| world | ledges |")
	for _, n := range otherCounts {
		fmt.Fprintf(&b, " %d: worst | past bad | Brier |", n)
	}
	b.WriteString("\n|---|--:|" + strings.Repeat("--:|--:|--:|", len(otherCounts)) + "\n")
	for _, o := range others {
		fmt.Fprintf(&b, "| %s | %d |", o.world.name, len(o.tales))
		for i := range otherCounts {
			z := scoreOf(o.tales, i, nil)
			w := worst(o.tales, i, enoughOthers)
			fmt.Fprintf(&b, " %+.1f ± %.1f%s | %.1f %%%s | %.3f |", 100*w.over(), 100*w.standardError(), mark(w.unsafe()), 100*z.pastBad, mark(pastBar(z)), z.brier)
		}
		b.WriteString("\n")
	}
	b.WriteString(calibrationFoot)
	return b.String()
}

// otherWorld is one whose truth the chain does not assume.
type otherWorld struct {
	world world
	tales []tale
}

func mark(past bool) string {
	if past {
		return " !"
	}
	return ""
}

// worst is the band furthest on the unsafe side, in standard errors past what was stated.
func worst(ts []tale, count, enough int) band {
	var w band
	for _, x := range bands(ts, count, quarters) {
		if x.cases >= enough && (w.cases == 0 || (x.over()-unsafeBy)/x.standardError() > (w.over()-unsafeBy)/w.standardError()) {
			w = x
		}
	}
	return w
}

func at(counts []int, n int) int {
	for i, c := range counts {
		if c == n {
			return i
		}
	}
	return 0
}

// worthTrusting puts into words from how many watches on a ledge's own number is worth more than the formula's.
func worthTrusting(counts []int, all []score) string {
	half, gain := -1, -1
	last := len(counts) - 1
	for i, n := range counts {
		if half < 0 && all[i].spread <= all[0].spread/2 {
			half = n
		}
		if gain < 0 && all[0].brier-all[i].brier >= 0.8*(all[0].brier-all[last].brier) {
			gain = n
		}
	}
	return fmt.Sprintf(`**How many watches until an uncalibrated ledge is worth trusting**: the first watch alone takes %.0f %% off the Brier score; after %d the mean spread
has halved; after %d four fifths of what %d watches bring are had. So %d watches that showed something make a ledge calibrated.`,
		100*(1-all[1].brier/all[0].brier), half, gain, counts[last], CalibratedAt)
}
