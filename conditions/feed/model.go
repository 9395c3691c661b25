package feed

import (
	"strings"

	"ledgehand/conditions"
)

// model says what a wave model calls a period: the same column holds a different statistic in
// each. Read in the service's source for the totals; for the parts where marked.
type model struct {
	name   string // as the service suffixes its columns, "" for an answer of one model
	credit string
	total  conditions.PeriodKind
	part   conditions.PeriodKind
}

// models in the order in which they are preferred where heights are equal.
//
// An answer without suffix is that of the service's own choice, best_match: meteofrance_wave
// (Copernicus MFWAM: total Tm-1,0, parts Tm01), gaps in Europe filled by EWAM, whose total is
// Tm-1,0 too. For the parts of EWAM and GWAM the mean Tm01 is assumed: it converts to the
// longer peak, which errs on the careful side. GFS-Wave gives peak periods (from memory of the
// model's documentation). ERA5 is missing: it is a reanalysis and ends days before now.
var models = []model{
	{"", "MFWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
	{"marine_best_match", "MFWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
	{"best_match", "MFWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
	{"meteofrance_wave", "MFWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
	{"ecmwf_wam", "ECMWF WAM", conditions.PeriodEnergy, conditions.PeriodEnergy},
	{"ecmwf_wam025", "ECMWF WAM", conditions.PeriodEnergy, conditions.PeriodEnergy},
	{"ncep_gfswave016", "NOAA GFS-Wave", conditions.PeriodPeak, conditions.PeriodPeak},
	{"ncep_gfswave025", "NOAA GFS-Wave", conditions.PeriodPeak, conditions.PeriodPeak},
	{"ewam", "DWD EWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
	{"gwam", "DWD GWAM", conditions.PeriodEnergy, conditions.PeriodMean01},
}

// column is the name of a variable in an answer of this model.
func (m model) column(variable string) string {
	if m.name == "" {
		return variable
	}
	return variable + "_" + m.name
}

// stranger gives a model with wave heights in the body that is not in the table: what its
// periods mean is not known, and guessing moves them by up to 20 %.
func (b *body) stranger() string {
	for name := range b.Hourly {
		suffix, ok := strings.CutPrefix(name, "wave_height_")
		if !ok {
			continue
		}
		known := false
		for _, m := range models {
			known = known || m.name == suffix
		}
		if !known {
			return suffix
		}
	}
	return ""
}
