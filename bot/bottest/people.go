package bottest

import (
	"fmt"
	"maps"
	"slices"
)

// AddPerson makes somebody known, who has not pressed Start yet.
func (s *Server) AddPerson(id int64, name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if id <= 0 || id == BotID {
		panic(fmt.Sprintf("bottest: %d cannot be a person's id", id))
	}
	s.people[id] = &human{id: id, name: name, language: "en"}
	s.rooms[id] = &room{id: id, members: map[int64]bool{id: true}}
}

// Rename is somebody taking another name.
func (s *Server) Rename(person int64, name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.human(person).name = name
}

// Speaks sets the language of somebody's Telegram; "" for one it does not tell.
func (s *Server) Speaks(person int64, language string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.human(person).language = language
}

// AddGroup makes a group, or a supergroup if its id is below -1000000000000, without the bot.
func (s *Server) AddGroup(id int64, title string, members ...int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if id >= 0 {
		panic(fmt.Sprintf("bottest: %d cannot be a group's id", id))
	}
	r := &room{id: id, title: title, members: map[int64]bool{}, bot: "left", topics: map[int]bool{}}
	for _, m := range members {
		s.human(m)
		r.members[m] = true
	}
	s.rooms[id] = r
}

// AddTopic opens a topic in a supergroup, which makes it a forum; CloseTopic deletes it.
func (s *Server) AddTopic(group int64, thread int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.room(group)
	r.forum, r.topics[thread] = true, true
}

// CloseTopic deletes a topic with all that is in it.
func (s *Server) CloseTopic(group int64, thread int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.room(group)
	delete(r.topics, thread)
	for _, l := range r.messages {
		if l.thread == thread {
			l.deleted = true
		}
	}
}

// AddBot is a member adding the bot to a group.
func (s *Server) AddBot(group, by int64) { s.standing(group, by, "member", false) }

// RemoveBot is a member throwing the bot out.
func (s *Server) RemoveBot(group, by int64) { s.standing(group, by, "kicked", false) }

// PromoteBot makes the bot an administrator, which lets it see everything.
func (s *Server) PromoteBot(group, by int64) { s.standing(group, by, "administrator", false) }

// MuteBot takes away the bot's right to write; AddBot gives it back.
func (s *Server) MuteBot(group, by int64) { s.standing(group, by, "restricted", true) }

func (s *Server) standing(group, by int64, status string, muted bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who := s.member(group, by)
	old := memberJSON(r.bot, r.muted)
	r.bot, r.muted = status, muted
	what := Joined
	if muted || status == "kicked" {
		what = Left
	}
	s.event(Event{Chat: group, Who: who.name, What: what})
	s.push("my_chat_member", map[string]any{
		"chat": s.roomJSON(r), "from": who.json(), "date": s.now().Unix(),
		"old_chat_member": old, "new_chat_member": memberJSON(r.bot, r.muted),
	})
}

func memberJSON(status string, muted bool) map[string]any {
	m := map[string]any{"user": botUser(), "status": status}
	switch status {
	case "restricted":
		m["is_member"], m["can_send_messages"], m["until_date"] = true, !muted, 0
	case "kicked":
		m["until_date"] = 0
	}
	return m
}

// Start presses Start in the bot's private chat, with the payload of the link that led there, if any.
func (s *Server) Start(person int64, payload string) int {
	s.mu.Lock()
	h := s.human(person)
	if h.blocked {
		s.block(h, false)
	}
	h.started = true
	s.mu.Unlock()
	text := "/start"
	if payload != "" {
		text += " " + payload
	}
	return s.Write(person, person, text)
}

// Block is somebody blocking the bot; Unblock takes it back.
func (s *Server) Block(person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.block(s.human(person), true)
}

// Unblock lets the bot write again.
func (s *Server) Unblock(person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.block(s.human(person), false)
}

func (s *Server) block(h *human, on bool) {
	if h.blocked == on {
		return
	}
	h.blocked = on
	before, after, what := "member", "kicked", Left
	if !on {
		before, after, what = after, before, Joined
	}
	s.event(Event{Chat: h.id, Who: h.name, What: what})
	s.push("my_chat_member", map[string]any{
		"chat": s.roomJSON(s.rooms[h.id]), "from": h.json(), "date": s.now().Unix(),
		"old_chat_member": memberJSON(before, false), "new_chat_member": memberJSON(after, false),
	})
}

// DeleteAccount is somebody deleting their account. Nobody tells the bot.
func (s *Server) DeleteAccount(person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.human(person).deleted = true
}

// DeleteGroup deletes a group. Nobody tells the bot.
func (s *Server) DeleteGroup(group int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.room(group).deleted = true
}

// Migrate turns a group into the supergroup newID. Two service messages tell of it, in either order.
func (s *Server) Migrate(group, newID int64, newFirst bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	notes := s.migrate(group, newID)
	if newFirst {
		slices.Reverse(notes)
	}
	for _, n := range notes {
		s.push("message", n)
	}
}

// MigrateUnseen is Migrate with the service messages still on their way: tell lets them come.
func (s *Server) MigrateUnseen(group, newID int64) (tell func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	notes := s.migrate(group, newID)
	return func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, n := range notes {
			s.push("message", n)
		}
	}
}

func (s *Server) migrate(group, newID int64) (notes []map[string]any) {
	old := s.room(group)
	fresh := &room{id: newID, title: old.title, members: maps.Clone(old.members), admins: old.admins, bot: old.bot, muted: old.muted, topics: map[int]bool{}}
	s.rooms[newID] = fresh
	who := s.people[slices.Sorted(maps.Keys(old.members))[0]]
	out := s.newLine(old, &line{from: who, extra: map[string]any{"migrate_to_chat_id": newID}})
	in := s.newLine(fresh, &line{from: who, extra: map[string]any{"migrate_from_chat_id": group, "sender_chat": s.roomJSON(fresh),
		"from": map[string]any{"id": 1087968824, "is_bot": true, "first_name": "Group", "username": "GroupAnonymousBot"}}})
	old.movedTo = newID
	s.event(Event{Chat: group, Who: who.name, What: Moved, Text: fmt.Sprint(newID)})
	return []map[string]any{s.messageJSON(old, out), s.messageJSON(fresh, in)}
}

func (s *Server) human(id int64) *human {
	h := s.people[id]
	if h == nil {
		panic(fmt.Sprintf("bottest: nobody has the id %d", id))
	}
	return h
}

func (s *Server) room(id int64) *room {
	r := s.rooms[id]
	if r == nil {
		panic(fmt.Sprintf("bottest: no chat has the id %d", id))
	}
	return r
}

func (s *Server) member(chatID, person int64) (*room, *human) {
	r, h := s.room(chatID), s.human(person)
	if !r.members[person] {
		panic(fmt.Sprintf("bottest: %s is not in chat %d", h.name, chatID))
	}
	return r, h
}
