package ledge

import "math"

// The grid covers four prior standard deviations either way. The density is smooth, so equal spacing converges fast: 401
// points give the same four digits of mean and median as 3201, and the ends of the interval to one in a thousand.
const gridPoints = 401

// Beyond this many prior deviations of its own error an observation tells the points of the grid hardly apart.
const tooVague = 50

// finest is how far apart, in ln kappa, the nodes of a sum over an observation's error may be: a count of hundreds of
// washes is no sharper than that.
const finest = 0.03

// grid is ln kappa in equal steps, with as much more at both ends as the errors of the observations reach.
type grid struct {
	step   float64   // of ln kappa
	margin int       // points before the first that counts
	kappa  []float64 // margin, gridPoints, margin
	row    []float64 // scratch: one log-likelihood over all of kappa
	// Scratch of the sums over an observation's error.
	linear, weights, sum []float64
}

func newGrid(prior Prior, proofs []evidence) grid {
	g := grid{step: 8 * prior.Sigma / (gridPoints - 1)}
	for i := range proofs {
		if proofs[i].sigma < tooVague*prior.Sigma {
			g.margin = max(g.margin, g.reach(proofs[i].sigma))
		}
	}
	n := gridPoints + 2*g.margin
	store := make([]float64, 3*n)
	g.kappa, g.row, g.linear = store[:n:n], store[n:2*n:2*n], store[2*n:]
	for j := range g.kappa {
		z := -4 + 8*float64(j-g.margin)/(gridPoints-1)
		g.kappa[j] = prior.Kappa * math.Exp(z*prior.Sigma)
	}
	return g
}

// reach is how many points four standard deviations of an error are.
func (g *grid) reach(sigma float64) int { return int(math.Ceil(4 * sigma / g.step)) }

// add adds the log-likelihood of one observation to those of the points that count. With an error of its own the watch was
// really one at kappa e^(sigma u): the likelihood is averaged over u ~ N(0,1), which in ln kappa is a sum over
// neighbours.
func (g *grid) add(e *evidence, to []float64) {
	if e.sigma == 0 {
		for j := range to {
			to[j] += e.logLikelihood(g.kappa[g.margin+j])
		}
		return
	}
	reach := g.reach(e.sigma)
	if reach > g.margin {
		return // too vague, see newGrid
	}
	first, last := g.margin-reach, g.margin+gridPoints+reach
	top := math.Inf(-1)
	for j := first; j < last; j++ {
		g.row[j] = e.logLikelihood(g.kappa[j])
		top = math.Max(top, g.row[j])
	}
	for j := first; j < last; j++ {
		g.linear[j] = math.Exp(g.row[j] - top)
	}
	skip := max(1, int(math.Min(e.sigma/4, finest)/g.step))
	weights := g.weights[:0] // of u = 0 and up; it is even
	var sum float64
	for off := 0; off <= reach; off += skip {
		u := float64(off) * g.step / e.sigma
		w := math.Exp(-u * u / 2)
		weights = append(weights, w)
		if sum += w; off > 0 {
			sum += w
		}
	}
	g.weights = weights
	g.sum = append(g.sum[:0], g.linear[g.margin:g.margin+gridPoints]...)
	for k := 1; k < len(weights); k++ {
		w, off := weights[k], k*skip
		below := g.linear[g.margin-off:][:gridPoints]
		above := g.linear[g.margin+off:][:gridPoints]
		for j := range g.sum {
			g.sum[j] += w * (below[j] + above[j])
		}
	}
	top -= math.Log(sum)
	for j, l := range g.sum {
		if l > 1e-250 {
			to[j] += top + math.Log(l)
			continue
		}
		// So far from what was seen that no digit is left: the greatest term stands for the sum.
		most, at := math.Inf(-1), g.margin+j
		for k, w := range weights {
			most = math.Max(most, math.Log(w/sum)+math.Max(g.row[at-k*skip], g.row[at+k*skip]))
		}
		to[j] += most
	}
}
