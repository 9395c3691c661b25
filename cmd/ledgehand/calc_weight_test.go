package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every published pair (testdata/README.md) by way of calc; the whole table where it lies beside the repository.
func TestCalcWeight(t *testing.T) {
	name := filepath.Join("..", "..", "..", "shared", "data", "fish", "length_weight_checks.csv")
	if _, err := os.Stat(name); err != nil {
		name = filepath.Join("..", "..", "testdata", "fish", "length_weight_checks.csv")
	}
	raw, err := os.ReadFile(name)
	must(t, err)
	rows, err := csv.NewReader(strings.NewReader(string(raw))).ReadAll()
	must(t, err)
	var in strings.Builder
	for _, r := range rows[1:] {
		fmt.Fprintf(&in, `{"op":"weight","species":%q,"measure":%q,"length_cm":%s}`+"\n", r[1], r[2], r[3])
	}
	answers := calcAnswers(t, strings.NewReader(in.String()))
	passed := 0
	for i, r := range rows[1:] {
		want, err := strconv.ParseFloat(r[4], 64)
		must(t, err)
		within, err := strconv.ParseFloat(r[7], 64)
		must(t, err)
		got, ok := answers[i]["weight_g"].(float64)
		if !ok || math.Abs(got-want) > want*within/100 || answers[i]["quality"] == "" {
			t.Errorf("%s: %s %s %s cm = %v, want %g g within %g %%", r[0], r[1], r[2], r[3], answers[i], want, within)
			continue
		}
		passed++
	}
	t.Logf("%d of %d weights within tolerance", passed, len(rows)-1)

	for line, why := range map[string]string{
		`{"op":"weight","species":"Sparus aurata","measure":"TL","length_cm":35}`:   "sources-differ",
		`{"op":"weight","species":"Nullus piscis","measure":"TL","length_cm":35}`:   "unknown-species",
		`{"op":"weight","species":"Girella elevata","measure":"SL","length_cm":35}`: "unknown-measure",
		`{"op":"weight","species":"Girella elevata","length_cm":35}`:                "unknown-measure",
		`{"op":"weight","species":"Girella elevata","measure":"FL","length_cm":35}`: "no-conversion",
		`{"op":"weight","species":"Girella elevata","measure":"TL","length_cm":0}`:  "no-such-length",
		`{"op":"weight","species":"Girella elevata","measure":"TL","length_cm":-3}`: "no-such-length",
	} {
		a := calcAnswers(t, strings.NewReader(line+"\n"))
		if len(a) != 1 || a[0]["refused"] != why || a[0]["reason"] == "" || a[0]["weight_g"] != nil {
			t.Errorf("%s = %v, want refused: %s", line, a, why)
		}
	}
}

func TestWeightsOfTheOperator(t *testing.T) {
	file := filepath.Join(t.TempDir(), "weights.csv")
	must(t, os.WriteFile(file, []byte("common_name,scientific_name,measure,length_unit,weight_unit,a,b,tl_from_fl_intercept_cm,tl_from_fl_slope,valid_min_cm,valid_max_cm,max_len_cm,max_len_type,quality,source\n"+
		"x,Piscis exemplum,TL,cm,g,0.01,3,,,,,50,TL,A,made up\n"), 0o600))
	table, err := weights(file)
	must(t, err)
	if e, err := table.Of("Piscis exemplum", "TL", 10); err != nil || math.Abs(e.Grams-10) > 1e-9 {
		t.Errorf("10 cm = %+v, %v, want 10 g", e, err)
	}
	if open, err := weights("open"); err != nil || len(open.Species()) == 0 {
		t.Errorf("open = %v, %v", open, err)
	}
	for _, bad := range []string{"/no/such/file/anywhere", "."} {
		if _, err := weights(bad); err == nil || !strings.Contains(err.Error(), weightsSetting) {
			t.Errorf("weights(%q): %v, want the setting named", bad, err)
		}
	}
}
