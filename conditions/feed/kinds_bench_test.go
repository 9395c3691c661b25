package feed

import (
	"testing"

	"ledgehand/conditions/measure"
)

func benchRead(b *testing.B, k Kind, raw []byte, q Asked) {
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(k, raw, q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadBuoyText(b *testing.B) {
	benchRead(b, NDBCText, sample(b, "46xxx_big_swell.constructed.txt"), Asked{Now: bigSwell})
}

func BenchmarkReadBuoySpec(b *testing.B) {
	benchRead(b, NDBCSpec, sample(b, "46xxx_big_swell.constructed.spec"), Asked{Now: bigSwell})
}

func BenchmarkReadMetLocation(b *testing.B) {
	benchRead(b, MetLocation, sample(b, "locationforecast_complete_lofoten.constructed.json"), Asked{Now: metBegin, At: &lofoten})
}

func BenchmarkReadMetOcean(b *testing.B) {
	benchRead(b, MetOcean, sample(b, "oceanforecast_lofoten.constructed.json"), Asked{Now: metBegin, At: &lofoten})
}

func BenchmarkReadTidePredictions(b *testing.B) {
	benchRead(b, CoopsPredictions, sample(b, "9414290_predictions_hilo_mllw_m_gmt.constructed.json"), Asked{Now: begin})
}

func BenchmarkReadAlerts(b *testing.B) {
	benchRead(b, NWSAlerts, sample(b, "alerts_active_central_california.constructed.json"), Asked{Now: ts("2026-12-05T13:30:00Z"), At: &measure.Position{Lat: 34.9, Lon: -120.75}})
}

// All 840 stations, and the nearest of them.
func BenchmarkReadLatestOfAllBuoys(b *testing.B) {
	benchRead(b, NDBCLatest, recordedByOthers(b, "ndbc/latest_obs_20180730.txt"), Asked{Now: ts("2018-07-30T21:20:00Z"), At: &measure.Position{Lat: 38.9, Lon: -123.8}})
}

// 1,348 stations.
func BenchmarkDecodeBuoyStations(b *testing.B) {
	raw := recordedByOthers(b, "ndbc/activestations_20240827.xml")
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeBuoyStations(raw); err != nil {
			b.Fatal(err)
		}
	}
}
