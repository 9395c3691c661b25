// Package embedded is Redis without a Redis of one's own. Start is one inside this process, for the demonstration and
// the offline chat: it forgets. Run is a redis-server beside this process, for serve: it keeps everything in one
// directory, and is watched, restarted and ended from here.
package embedded
