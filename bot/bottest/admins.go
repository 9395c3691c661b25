package bottest

import (
	"context"
	"slices"
)

// MakeAdmin makes a member one of those who administer a group; the first one owns it.
func (s *Server) MakeAdmin(group, person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, _ := s.member(group, person)
	if !slices.Contains(r.admins, person) {
		r.admins = append(r.admins, person)
	}
}

// Leave is a member leaving a group; by is who threw them out, or they themselves.
func (s *Server) Leave(group, person, by int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, who := s.member(group, person)
	l := &line{from: s.human(by)}
	l.set("left_chat_member", who.json())
	s.newLine(r, l)
	delete(r.members, person)
	r.admins = slices.DeleteFunc(r.admins, func(id int64) bool { return id == person })
	s.event(Event{Chat: group, Who: who.name, What: Left, Message: l.id})
	s.push("message", s.messageJSON(r, l))
}

func (s *Server) getChatAdministrators(_ context.Context, p params) (any, *refusal) {
	id := p.id("chat_id")
	r := s.rooms[id]
	switch {
	case r == nil:
		return nil, bad("chat not found")
	case id > 0:
		return nil, bad("there are no administrators in the private chat")
	case r.bot == "kicked" || r.bot == "left":
		return nil, bad("chat not found")
	}
	out := []map[string]any{}
	for i, a := range r.admins {
		m := map[string]any{"user": s.human(a).json(), "status": "administrator"}
		if i == 0 {
			m["status"] = "creator"
		}
		out = append(out, m)
	}
	return out, nil
}
