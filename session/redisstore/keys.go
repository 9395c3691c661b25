package redisstore

import (
	"fmt"
	"strconv"
	"strings"

	"ledgehand/session"
)

// Every key there is. All keys of a shard carry its two-digit number as hash tag, so that one
// script touches one slot and the same code runs on one Redis, on Sentinel and on Cluster.
// P is the prefix, "ledgehand" unless the operator chose another; NN is the shard, 00 to 63.
//
//	key               type    holds                                   written by                   removed when
//	P:{NN}:in         STREAM  letters: i id, t got (ms), b sealed     take, commit, settle         commit, discard, bury (entries)
//	P:{NN}:seen:ID    STRING  when a letter of this id was got (ms)   take, commit, settle         TTL 72 h; it counts for 48 h
//	P:{NN}:dead       STREAM  q seq, i id, t got, b sealed, w why     bury                         beyond the newest 1000
//	P:{NN}:rec:KEY    HASH    v version, b sealed body                commit                       commit deletes it
//	P:{NN}:recs       ZSET    keys of all records, score 0            commit                       with its record
//	P:{NN}:done:CAUSE STRING  when the cause was committed (ms)       commit                       TTL 72 h
//	P:{NN}:due        ZSET    items by next look or end of hold (ms)  commit, claim_due            commit
//	P:{NN}:due:for    HASH    item -> ms it is due for, while held    claim_due                    commit
//	P:{NN}:out:urgent ZSET    REV:ID by not-before or end of hold     commit, claim_out, settle    commit (cancel, replace), settle
//	P:{NN}:out:slow   ZSET    the same for the slow lane              the same                     the same
//	P:{NN}:out:body   HASH    id -> sealed entry                      commit, settle               with its place in the lane
//	P:{NN}:out:tag    HASH    id -> REV:CLAIM, CLAIM 0 when not held  commit, claim_out, settle    with its place in the lane
//	P:{NN}:out:made   ZSET    urgent ids by when they were made (ms)  commit                       with its place in the lane
//	P:{NN}:out:n      STRING  the last REV or CLAIM given             commit, claim_out            never
//	P:{NN}:panels     HASH    CHAT|KEY -> message id                  settle                       settle, when told to forget
//	P:{NN}:lead       HASH    owner, until (ms), n fence, k key ids   lead, resign                 never (n must only grow)
//	P:{NN}:try        STRING  when a trial write was taken (ms)       TryWrite                     TTL 72 h
//
// Outside the shards, each in a slot of its own:
//
//	P:replicas        ZSET    names of replicas by when they are gone present                      present, when gone
//	P:seat:NAME       HASH    as lead, of what one replica does alone lead, resign                 never
//	P:beat            STRING  by when all that came in is stored (ms) beat                         never
//
// and under P:answer:HASH are public answers of other services with a time to live (answers.go).
//
// REV is 16 digits, so that entries of one millisecond keep the order in which they were posted.
// Sealed bodies are also rewritten, in place and with nothing else changed, by reseal_hash and reseal_stream (reseal.go).
// A time to live only sweeps rubbish: no promise hangs on a key being gone.

// defaultPrefix begins every key unless Options.Prefix says otherwise.
const defaultPrefix = "ledgehand"

// keys names the keys of one shard.
type keys struct {
	base string // "P:{NN}:"

	in, dead, recs, due, dueFor          string
	urgent, slow, body, tag, made, count string
	panels, lead, try                    string
}

// keysOf names the keys of a shard under a prefix.
func keysOf(prefix string, s session.Shard) keys {
	base := fmt.Sprintf("%s:{%02d}:", prefix, int(s))
	return keys{
		base:   base,
		in:     base + "in",
		dead:   base + "dead",
		recs:   base + "recs",
		due:    base + "due",
		dueFor: base + "due:for",
		urgent: base + "out:urgent",
		slow:   base + "out:slow",
		body:   base + "out:body",
		tag:    base + "out:tag",
		made:   base + "out:made",
		count:  base + "out:n",
		panels: base + "panels",
		lead:   base + "lead",
		try:    base + "try",
	}
}

func (k *keys) seen(id string) string    { return k.base + "seen:" + id }
func (k *keys) done(cause string) string { return k.base + "done:" + cause }
func (k *keys) record(key string) string { return k.base + "rec:" + key }

// lane is the ZSET of a lane; the lane was checked before.
func (k *keys) lane(l session.Lane) string {
	if l == session.Urgent {
		return k.urgent
	}
	return k.slow
}

// panelField is the field of one panel in the panels hash.
func panelField(chat int64, key string) string {
	return strconv.FormatInt(chat, 10) + "|" + key
}

// checkPrefix refuses a prefix that would move the hash tag.
func checkPrefix(prefix string) error {
	if strings.ContainsAny(prefix, "{}") {
		return fmt.Errorf("key prefix %q: braces are kept for the shard", prefix)
	}
	return nil
}
