package conditions

import (
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/tide"
)

func TestStretchesOfTime(t *testing.T) {
	spans := func(hours ...int) []tide.Span {
		var out []tide.Span
		for i := 0; i < len(hours); i += 2 {
			out = append(out, tide.Span{From: time.Unix(int64(hours[i])*3600, 0).UTC(), To: time.Unix(int64(hours[i+1])*3600, 0).UTC()})
		}
		return out
	}
	for _, tt := range []struct {
		name             string
		have, gone, want []tide.Span
	}{
		{"Nothing", spans(1, 5), nil, spans(1, 5)},
		{"Middle", spans(1, 5), spans(2, 3), spans(1, 2, 3, 5)},
		{"Start", spans(1, 5), spans(0, 2), spans(2, 5)},
		{"End", spans(1, 5), spans(4, 9), spans(1, 4)},
		{"All", spans(1, 5), spans(1, 5), nil},
		{"Beside", spans(1, 5), spans(0, 1, 5, 6), spans(1, 5)},
		{"AcrossTwo", spans(1, 5, 7, 9), spans(4, 8), spans(1, 4, 8, 9)},
		{"Twice", spans(1, 9), spans(2, 3, 4, 5), spans(1, 2, 3, 4, 5, 9)},
	} {
		if got := without(tt.have, tt.gone); !slices.Equal(got, tt.want) {
			t.Errorf("%s: without(%v, %v) = %v, want %v", tt.name, tt.have, tt.gone, got, tt.want)
		}
		if got, want := common(tt.have, tt.gone), total(tt.have)-total(tt.want); got != want {
			t.Errorf("%s: common = %s, want %s", tt.name, got, want)
		}
	}
	for _, tt := range []struct {
		name      string
		add, want []tide.Span
	}{
		{"Apart", spans(1, 2, 3, 4), spans(1, 2, 3, 4)},
		{"Touching", spans(1, 2, 2, 4), spans(1, 4)},
		{"Within", spans(1, 5, 2, 4), spans(1, 5)},
		{"Empty", spans(1, 2, 3, 3), spans(1, 2)},
		{"Reversed", spans(1, 2, 5, 3), spans(1, 2)},
	} {
		var got []tide.Span
		for _, s := range tt.add {
			got = join(got, s)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: join %v = %v, want %v", tt.name, tt.add, got, tt.want)
		}
	}
	if got, want := widened(spans(2, 3, 4, 5, 9, 10), time.Hour), spans(1, 6, 8, 11); !slices.Equal(got, want) {
		t.Errorf("widened = %v, want %v", got, want)
	}
	if got := longest(spans(1, 2, 4, 9)); got != 5*time.Hour {
		t.Errorf("longest = %s, want 5h", got)
	}
}
