package telegram_test

import (
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

// What people do at the fake server arrives as the requests it stands for: both sides were
// written after the Bot API, not after each other.
func TestWhatPeopleDoArrives(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const forum int64 = -1009000000004
		s, b := shore(time.Now), &box{}
		s.SetPrivacy(false)
		s.AddGroup(forum, "Forum", ana, bram)
		s.AddBot(forum, bram)
		s.AddTopic(forum, 5)
		began := time.Now()

		s.Speaks(mo, "de")
		s.Start(mo, "tok-1")
		s.Block(mo)
		s.Unblock(mo)
		place := s.SendPlace(mo, mo, -33.5, 151.25, bottest.Live(time.Hour))
		time.Sleep(time.Minute)
		s.MovePlace(mo, mo, place, -33.6, 151.25, false)
		s.MovePlace(mo, mo, place, -33.6, 151.25, true)
		s.SendPlace(mo, mo, -33.7, 151.25, bottest.Forwarded("Bram"))
		s.Write(mo, mo, "off the rocks", bottest.Forwarded("Bram"))
		s.SendPhoto(crew, ana, "/catch@LedgehandTestBot drummer 34 🐟")
		line := s.Write(crew, ana, "🐟 /off@otherbot")
		s.Edit(crew, ana, line, "/off")
		s.Write(crew, ana, "/off@otherbot")
		s.Write(crew, ana, "off", bottest.Anonymous())
		s.Write(forum, bram, "/out", bottest.InTopic(5))
		s.PromoteBot(forum, bram)
		s.MuteBot(crew, ana)
		s.AddBot(crew, ana)
		s.RemoveBot(crew, bram)
		post := newSender(t, s).Send(t.Context(), chat.Message{To: forum, Text: "Out", Thread: 5, Buttons: [][]chat.Button{{{Label: "Off", Data: "off"}}}}, 0)
		if _, err := s.Tap(forum, ana, post.Message, "Off"); err != nil {
			t.Fatal(err)
		}
		s.WriteReply(forum, ana, post.Message, "off", bottest.InTopic(5))
		s.CloseTopic(forum, 5)
		s.Forge(forum, ana, post.Message, "off")

		stop := run(t, poller(s, b, &diary{}))
		time.Sleep(time.Second)
		stop()
		type seen struct {
			kind    chat.Kind
			place   int64
			thread  int
			from    int64
			text    string
			replyTo int
		}
		want := []seen{
			{chat.KindAdded, crew, 0, ana, "", 0},
			{chat.KindAdded, forum, 0, bram, "", 0},
			{chat.KindText, mo, 0, mo, "/start tok-1", 0},
			{chat.KindRemoved, mo, 0, mo, "", 0},
			{chat.KindAdded, mo, 0, mo, "", 0},
			{chat.KindPlace, mo, 0, mo, "", 0},
			{chat.KindFix, mo, 0, mo, "", 0},
			{chat.KindFix, mo, 0, mo, "", 0},
			{chat.KindPlace, mo, 0, mo, "", 0},
			{chat.KindOther, mo, 0, mo, "off the rocks", 0},
			{chat.KindText, crew, 0, ana, "/catch drummer 34 🐟", 0},
			{chat.KindText, crew, 0, ana, "🐟 /off@otherbot", 0},
			{chat.KindEdited, crew, 0, ana, "/off", 0},
			{chat.KindOther, crew, 0, ana, "/off@otherbot", 0},
			{chat.KindUnlisted, crew, 0, 0, "off", 0},
			{chat.KindText, forum, 5, bram, "/out", 0},
			{chat.KindOther, forum, 0, bram, "", 0},
			{chat.KindRemoved, crew, 0, ana, "", 0},
			{chat.KindAdded, crew, 0, ana, "", 0},
			{chat.KindRemoved, crew, 0, bram, "", 0},
			{chat.KindTap, forum, 5, ana, "off", 0},
			{chat.KindText, forum, 5, ana, "off", post.Message},
			{chat.KindTap, forum, 0, ana, "off", 0}, // on a message that is gone, whose topic nobody tells
		}
		var got []seen
		var points []chat.Point
		for _, l := range b.all() {
			r, err := telegram.Decode(l.raw, l.got, us)
			if err != nil {
				t.Fatal(err)
			}
			if r.Place.ID != l.at {
				t.Errorf("%s stored for chat %d, want %d", r.Kind, l.at, r.Place.ID)
			}
			if r.Point != nil {
				points = append(points, *r.Point)
			}
			if r.Kind == chat.KindText && r.Place.ID == crew && r.Photo == "" && r.Text != "🐟 /off@otherbot" {
				t.Errorf("photo of %q is missing", r.Text)
			}
			if r.From.ID == mo && r.Message == place && r.From.Language != "de" {
				t.Errorf("Mo's language %q, want de", r.From.Language)
			}
			got = append(got, seen{r.Kind, r.Place.ID, r.Place.Thread, r.From.ID, r.Text + r.Data, r.ReplyTo})
		}
		if !slices.Equal(got, want) {
			t.Errorf("arrived\n%v\nwant\n%v", got, want)
		}
		until := began.UTC().Add(time.Hour)
		wantPoints := []chat.Point{
			{Lat: -33.5, Lon: 151.25, LiveUntil: until},
			{Lat: -33.6, Lon: 151.25, LiveUntil: until},
			{Lat: -33.6, Lon: 151.25},
			{Lat: -33.7, Lon: 151.25, Forwarded: true},
		}
		if !slices.Equal(points, wantPoints) {
			t.Errorf("points %+v, want %+v", points, wantPoints)
		}
	})
}
