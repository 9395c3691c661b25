package redisstore

import (
	"reflect"
	"strings"
	"testing"

	"ledgehand/session"
)

func TestEveryKeyCarriesTheTagOfItsShard(t *testing.T) {
	for s, tag := range map[session.Shard]string{0: "{00}", 7: "{07}", 63: "{63}"} {
		k := keysOf("pre", s)
		all := []string{k.seen("u{1}"), k.done("due:{x}@1"), k.record("outing/{99}"), k.lane(session.Urgent), k.lane(session.Slow)}
		for v, i := reflect.ValueOf(k), 0; i < v.NumField(); i++ {
			all = append(all, v.Field(i).String())
		}
		seen := map[string]int{}
		for _, key := range all {
			// Redis takes what stands between the first "{" and the next "}".
			open := strings.IndexByte(key, '{')
			if !strings.HasPrefix(key, "pre:") || open < 0 || key[open:open+4] != tag {
				t.Errorf("key %q of shard %d, want tag %s first", key, s, tag)
			}
			seen[key]++
		}
		for key, n := range seen {
			if n > 1 && key != k.urgent && key != k.slow {
				t.Errorf("key %q is used for %d things", key, n)
			}
		}
	}
}

func TestAPrefixMayNotMoveTheTag(t *testing.T) {
	for _, prefix := range []string{"{", "}", "a{b}c"} {
		if err := checkPrefix(prefix); err == nil {
			t.Errorf("checkPrefix(%q) = nil, want an error", prefix)
		}
	}
}
