package outing

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
)

// leftOf lists what an outing still holds of exact places and of how to ring people.
func leftOf(o Outing) (left []string) {
	for _, m := range o.People {
		if m.Phone != "" {
			left = append(left, m.Phone)
		}
	}
	s := o.Sheet
	for _, v := range []string{s.Car, s.Parking, s.Access, s.WaysOut, s.Ring, s.Wearing, s.Notes} {
		if v != "" {
			left = append(left, v)
		}
	}
	if s.Lat != nil || s.Lon != nil {
		left = append(left, "the position")
	}
	return left
}

// Before, at and after: three days after the end, and not a moment before, whoever asks and however late.
func TestAnEndedOutingIsWiped(t *testing.T) {
	s := starts()[0]
	o := s.open(t)
	ended, _, err := o.Apply(SayOffRocks{By: bram, Who: []int64{ana, bram}}, t0.Add(time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	end := t0.Add(time.Hour)
	if at := ended.NextLook(); !at.Equal(end.Add(Keeps)) {
		t.Fatalf("next look of an ended outing %v, want %v", at, end.Add(Keeps))
	}
	for _, c := range []struct {
		after time.Duration
		want  bool
	}{{0, false}, {Keeps - time.Millisecond, false}, {Keeps, true}, {Keeps + 30*24*time.Hour, true}} {
		next, es := ended.Tick(end.Add(c.after))
		if next.Wiped() != c.want || (len(leftOf(next)) == 0) != c.want || len(es) != 0 {
			t.Errorf("%v after the end: wiped %v, has %v, says %v; want %v", c.after, next.Wiped(), leftOf(next), kinds(es), c.want)
		}
		if again, es := next.Tick(end.Add(c.after + time.Hour)); c.want && (len(es) != 0 || !equal(again, next) || !again.NextLook().IsZero()) {
			t.Errorf("%v after the end: looked at again it changes", c.after)
		}
	}
	// Whoever says "off" once more, or "home", is answered as before.
	wiped, _ := ended.Tick(end.Add(Keeps))
	for _, e := range []Event{SayOffRocks{By: ana}, SayAtHome{By: ana}, Reached{Chat: mo}, Unreached{Chat: mo}, Unreached{Chat: group}, LetGo{By: mo}} {
		a, was, err := ended.Apply(e, end.Add(Keeps))
		b, es, err2 := wiped.Apply(e, end.Add(Keeps))
		if (err == nil) != (err2 == nil) || !slices.Equal(kinds(was), kinds(es)) || a.Closed() != b.Closed() || len(leftOf(b)) != 0 {
			t.Errorf("%T: says %v (%v), before the wipe %v (%v)", e, kinds(es), err2, kinds(was), err)
		}
	}
}

// One that never ends keeps what rescuers may ask for.
func TestAnOpenOutingIsNotWiped(t *testing.T) {
	o := starts()[0].open(t)
	had := leftOf(o)
	for range 500 {
		o, _ = o.Tick(o.NextLook())
	}
	if o.Told[len(o.Told)-1].At.Before(o.BackBy.Add(2*Keeps)) || o.Wiped() || !slices.Equal(leftOf(o), had) {
		t.Errorf("after days of alerts it has %v, want %v", leftOf(o), had)
	}
}

// Every field there is, filled: what stays is what is named here, and nothing that a new field may bring.
func TestWhatAWipeLeaves(t *testing.T) {
	var o Outing
	n := 0
	fill(reflect.ValueOf(&o).Elem(), &n)
	o.WipedAt = time.Time{}
	body, err := json.Marshal(o.wipe(t0))
	if err != nil {
		t.Fatal(err)
	}
	var left []string
	var tree any
	if err := json.Unmarshal(body, &tree); err != nil {
		t.Fatal(err)
	}
	paths(tree, "", &left)
	slices.Sort(left)
	want := strings.Fields(`
		asked_again back_by cancelled closed_at contacts.chat contacts.id contacts.language contacts.name contacts.reached contacts.refused contacts.until crew
		deaf.for deaf.from deaf.to delays.at delays.by delays.from delays.to falls.at falls.by falls.name falls.unsure group group_refused group_was home_by
		heard.at heard.what heard.who id ladder.contact ladder.party ladder.remind ladder.repeat ledge opened_at opened_by
		people.chat people.home_at people.id people.language people.name people.off_at people.off_by
		sheet.ask_for sheet.datum sheet.last_light sheet.lifejacket sheet.next_tide sheet.next_tide_height sheet.next_tide_is_high sheet.number
		sheet.sea_at sheet.sea_hs sheet.sea_hs_later sheet.sea_period sheet.signal sheet.water_c thread
		told.alert told.at told.for told.missed told.n told.rung told.to.chat told.to.id told.to.name told.to.role told.to.thread
		tries.at tries.by tries.name tries.until tries.what trip v wiped_at zone`)
	for _, p := range left {
		if !slices.Contains(want, p) && !strings.HasPrefix(p, "ladder.") {
			t.Errorf("a wiped outing keeps %s: is it needed?", p)
		}
	}
	for _, p := range []string{"sheet.number", "people.name", "told.to.chat", "falls.name", "heard.what"} {
		if !slices.Contains(left, p) {
			t.Errorf("a wiped outing lost %s", p)
		}
	}
	for _, p := range []string{"sheet.Lat", "sheet.Lon", "people.phone", "sheet.car", "sheet.parking", "sheet.access", "mates.id", "ack.by", "delays.why"} {
		if slices.Contains(left, p) {
			t.Errorf("a wiped outing still has %s", p)
		}
	}
}

// paths collects where values stand that are not null.
func paths(v any, at string, into *[]string) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			paths(x, strings.TrimPrefix(at+"."+k, "."), into)
		}
	case []any:
		for _, x := range v {
			paths(x, at, into)
		}
	case nil:
	default:
		if !slices.Contains(*into, at) {
			*into = append(*into, at)
		}
	}
}

// fill puts something into every field.
func fill(v reflect.Value, n *int) {
	*n++
	if v.Type() == reflect.TypeFor[time.Time]() {
		v.Set(reflect.ValueOf(t0.Add(time.Duration(*n) * time.Minute)))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprint("v", *n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	case reflect.Float64:
		v.SetFloat(float64(*n))
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0), n)
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	default:
		panic("no way to fill " + v.Type().String())
	}
}
