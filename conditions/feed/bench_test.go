package feed

import "testing"

func BenchmarkDecodeMarineWeek(b *testing.B) {
	raw := sample(b, "marine_sydney_rising_longperiod.constructed.json")
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeMarine(raw, begin, sydney); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecodeForecastWeek(b *testing.B) {
	raw := sample(b, "forecast_sydney_rising_longperiod.constructed.json")
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeForecast(raw, begin, sydney); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecodeAlerts(b *testing.B) {
	raw := sample(b, "alerts_active_central_california.constructed.json")
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeAlerts(raw); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSeaFromTheShelf(b *testing.B) {
	raw := sample(b, "marine_sydney_rising_longperiod.constructed.json")
	s, err := DecodeMarine(raw, begin, sydney)
	if err != nil {
		b.Fatal(err)
	}
	a := snap(b, sydney)
	c, err := NewClient(Settings{UserAgent: agent, MetURL: Off})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(c.Close)
	c.sea.put(a.String(), s, begin, nil, begin)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Sea(b.Context(), a, begin); err != nil {
			b.Fatal(err)
		}
	}
}
