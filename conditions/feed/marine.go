package feed

import (
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// parts are the wave systems of an answer, in the words of conditions.Partition.
var parts = []struct{ kind, prefix string }{
	{"swell", "swell_wave_"},
	{"swell2", "secondary_swell_wave_"},
	{"wind", "wind_wave_"},
}

// system is the columns of one wave system; nil where there is none.
type system struct {
	kind                   string
	hs, period, peak, from []float64
}

// seaOf is what one model says.
type seaOf struct {
	model
	all         system
	parts       []system
	temp, level []float64
}

// DecodeMarine reads an answer of the Open-Meteo marine interface for one point, asked with
// timeformat=unixtime and metric units, fetched at now. Heights are significant, directions
// "from", instants UTC; a value the model does not give stays nil. Where several models
// answered, each hour is that of the model with the larger waves, and Source.Model names them
// all. A sea of nulls or of nothing but zeros is a *NoData, anything odd a *BadBody, an error
// body of the service an *Unavailable.
func DecodeMarine(raw []byte, now time.Time, asked measure.Position) (conditions.Sea, error) {
	b, err := decode(raw, asked)
	if err != nil {
		return conditions.Sea{}, err
	}
	seas, err := b.seas()
	if err != nil {
		return conditions.Sea{}, err
	}
	out := conditions.Sea{
		Source: conditions.Source{
			Name: "Open-Meteo", Licence: "CC BY 4.0", FetchedAt: now, Point: b.cell, Km: b.km,
		},
		Hours: merge(b.times, seas),
	}
	var names, credits []string
	for _, s := range seas {
		if s.name != "" {
			names = append(names, s.name)
		}
		if !slices.Contains(credits, s.credit) {
			credits = append(credits, s.credit)
		}
	}
	out.Source.Name += ", " + strings.Join(credits, ", ")
	switch len(names) {
	case 0:
		out.Source.Model = "best_match"
	case 1:
		out.Source.Model = names[0]
	default:
		out.Source.Model = "larger of " + strings.Join(names, ", ")
	}
	last := -1
	for i, h := range out.Hours {
		if h.Hs != nil {
			last = i
		}
	}
	if !out.Hours[last].At.Add(time.Hour).After(now) {
		return conditions.Sea{}, &NoData{Why: Ended}
	}
	return out, nil
}

// seas reads the columns of every model in the body and leaves out those that have no sea here.
func (b *body) seas() ([]seaOf, error) {
	if s := b.stranger(); s != "" {
		return nil, &BadBody{Why: WrongShape, Detail: "wave height of unknown model " + short(s)}
	}
	var out []seaOf
	why := Why("")
	for _, m := range models {
		if _, ok := b.Hourly[m.column("wave_height")]; !ok {
			continue
		}
		s := seaOf{model: m}
		var err error
		if s.all, err = b.system(m, "all", "wave_"); err != nil {
			return nil, err
		}
		for _, p := range parts {
			sys, err := b.system(m, p.kind, p.prefix)
			if err != nil {
				return nil, err
			}
			s.parts = append(s.parts, sys)
		}
		if s.temp, err = b.read(m.column("sea_surface_temperature"), field{"°C", -5, 45}); err != nil {
			return nil, err
		}
		if s.level, err = b.read(m.column("sea_level_height_msl"), field{"m", -20, 20}); err != nil {
			return nil, err
		}
		switch empty := emptiness(s.all.hs); {
		case empty == "":
			out = append(out, s)
		case why != AllZero: // of several models, the zeros are the more telling fault
			why = empty
		}
	}
	switch {
	case len(out) > 0:
		return out, nil
	case why != "":
		return nil, &NoData{Why: why}
	}
	return nil, &BadBody{Why: WrongShape, Detail: "wave_height is missing"}
}

// emptiness tells a column that says nothing: all null, or zero wherever it is not null.
func emptiness(column []float64) Why {
	why := AllNull
	for _, v := range column {
		if v > 0 {
			return ""
		}
		if v == 0 {
			why = AllZero
		}
	}
	return why
}

func (b *body) system(m model, kind, prefix string) (s system, err error) {
	s.kind = kind
	if s.hs, err = b.read(m.column(prefix+"height"), waveHeight); err != nil {
		return s, err
	}
	if s.period, err = b.read(m.column(prefix+"period"), wavePeriod); err != nil {
		return s, err
	}
	if s.peak, err = b.read(m.column(prefix+"peak_period"), wavePeriod); err != nil {
		return s, err
	}
	s.from, err = b.read(m.column(prefix+"direction"), direction)
	return s, err
}

// at is the i-th value of a column, NaN where there is none.
func at(column []float64, i int) float64 {
	if column == nil {
		return math.NaN()
	}
	return column[i]
}

// periodAt prefers the peak period where there is one: it needs no conversion. A period of
// zero goes with a height of zero and is no period.
func (s system) periodAt(i int, mean conditions.PeriodKind) (float64, conditions.PeriodKind) {
	if p := at(s.peak, i); p > 0 {
		return p, conditions.PeriodPeak
	}
	if p := at(s.period, i); p > 0 {
		return p, mean
	}
	return math.NaN(), ""
}

// merge builds the hours. The numbers lie in a few arrays, because pointers to single ones
// would cost ten allocations an hour.
func merge(times []time.Time, seas []seaOf) []conditions.SeaHour {
	n := len(times)
	hours := make([]conditions.SeaHour, n)
	hs := make([]measure.Metres, n)
	level := make([]measure.Metres, n)
	period := make([]measure.Seconds, n)
	from := make([]measure.From, n)
	temp := make([]float64, n)
	all := make([]conditions.Partition, 0, n*len(parts))
	for i := range hours {
		h := &hours[i]
		h.At = times[i]
		if best := larger(seas, i); best != nil {
			hs[i] = measure.Metres(best.all.hs[i])
			h.Hs = &hs[i]
			if p, kind := best.all.periodAt(i, best.total); !math.IsNaN(p) {
				period[i], h.PeriodKind = measure.Seconds(p), kind
				h.Period = &period[i]
			}
			if d := at(best.all.from, i); !math.IsNaN(d) {
				from[i] = measure.From(measure.Wrap360(d))
				h.From = &from[i]
			}
			start := len(all)
			all = best.partitions(all, i)
			h.Partitions = all[start:len(all):len(all)]
		}
		for _, s := range seas {
			if v := at(s.temp, i); h.WaterTempC == nil && !math.IsNaN(v) {
				temp[i] = v
				h.WaterTempC = &temp[i]
			}
			if v := at(s.level, i); h.SeaLevel == nil && !math.IsNaN(v) {
				level[i] = measure.Metres(v)
				h.SeaLevel = &level[i]
			}
		}
	}
	return hours
}

// larger is the model with the highest sea in hour i, the longer period where heights are
// equal; nil if none has a height.
func larger(seas []seaOf, i int) *seaOf {
	var best *seaOf
	for k := range seas {
		s := &seas[k]
		h := s.all.hs[i]
		if math.IsNaN(h) {
			continue
		}
		if best == nil || h > best.all.hs[i] || h == best.all.hs[i] && at(s.all.period, i) > at(best.all.period, i) {
			best = s
		}
	}
	return best
}

// partitions appends the wave systems of hour i. It is all or none: with the main swell or the
// wind sea unknown, or a system whose period or direction is missing, the rest would pass for
// the whole sea and be too small; the total is still there.
func (s *seaOf) partitions(all []conditions.Partition, i int) []conditions.Partition {
	start := len(all)
	for _, p := range s.parts {
		h := at(p.hs, i)
		if math.IsNaN(h) {
			if p.kind == "swell2" { // not every model has one
				continue
			}
			return all[:start]
		}
		t, kind := p.periodAt(i, s.part)
		d := at(p.from, i)
		if h == 0 { // the model says there is none of this kind
			all = append(all, conditions.Partition{Kind: p.kind, PeriodKind: s.part})
			continue
		}
		if math.IsNaN(t) || math.IsNaN(d) {
			return all[:start]
		}
		all = append(all, conditions.Partition{
			Kind: p.kind, Hs: measure.Metres(h), Period: measure.Seconds(t), PeriodKind: kind,
			From: measure.From(measure.Wrap360(d)),
		})
	}
	return all
}
