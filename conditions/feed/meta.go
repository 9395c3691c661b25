package feed

import (
	"encoding/json"
	"time"
)

// settle is how long after a run is out the servers may still answer from the one before; the
// provider's own figure.
const settle = 10 * time.Minute

// ModelRun is what the service says of a model's newest run.
type ModelRun struct {
	Start, Out time.Time
	Every      time.Duration
}

// DecodeRun reads the run data of a model of Open-Meteo.
func DecodeRun(raw []byte) (ModelRun, error) {
	var m struct {
		Start int64 `json:"last_run_initialisation_time"`
		Out   int64 `json:"last_run_availability_time"`
		Every int64 `json:"update_interval_seconds"`
	}
	if err := json.Unmarshal(raw, &m); err != nil {
		return ModelRun{}, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	if m.Start < earliest || m.Start > latest || m.Out < m.Start || m.Out > latest || m.Every <= 0 || m.Every > 7*24*3600 {
		return ModelRun{}, &BadBody{Why: WrongValue, Detail: "times of a model run"}
	}
	return ModelRun{
		Start: time.Unix(m.Start, 0).UTC(), Out: time.Unix(m.Out, 0).UTC(), Every: time.Duration(m.Every) * time.Second,
	}, nil
}

// At is the start of the run that an answer fetched at now surely comes from or is newer than;
// zero if the run data make no sense at now.
func (r ModelRun) At(now time.Time) time.Time {
	switch {
	case r.Start.After(now) || r.Start.IsZero():
		return time.Time{}
	case now.Before(r.Out.Add(settle)):
		return r.Start.Add(-r.Every)
	}
	return r.Start
}
