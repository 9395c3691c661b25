package redisstore

import (
	"embed"

	"github.com/redis/go-redis/v9"
)

// The scripts are the only writers of what matters. Each states in its header its keys, arguments and the words it
// answers; a test holds the headers to the bodies. Integers travel as strings and are only compared
// in Lua, never computed and printed: its numbers lose digits beyond 2^53, and some servers print
// them with fourteen.
//
//go:embed scripts/*.lua
var scriptFiles embed.FS

var (
	takeScript     = mustScript("take")
	discardScript  = mustScript("discard")
	buryScript     = mustScript("bury")
	loadScript     = mustScript("load")
	beginScript    = mustScript("begin")
	commitScript   = mustScript("commit")
	claimDueScript = mustScript("claim_due")
	allDueScript   = mustScript("all_due")
	claimOutScript = mustScript("claim_out")
	settleScript   = mustScript("settle")
	pendingScript  = mustScript("pending")
	backlogScript  = mustScript("backlog")
	leadScript     = mustScript("lead")
	resignScript   = mustScript("resign")
	presentScript  = mustScript("present")
	beatScript     = mustScript("beat")

	resealHashScript   = mustScript("reseal_hash")
	resealStreamScript = mustScript("reseal_stream")
)

func mustScript(name string) *redis.Script {
	text, err := scriptFiles.ReadFile("scripts/" + name + ".lua")
	if err != nil {
		panic(err) // the name above and the file do not agree: found by the first test that loads the package
	}
	return redis.NewScript(string(text))
}
