// Package vitals is what the operator and watchers outside see of the bot: numbers for a scraper, two plain answers
// (does it live, does it serve), and a sign of life to a watchdog whose silence is the alarm.
//
// It hears what happens through small hooks, asks the store how much waits, and judges: facts (facts.go) and bounds make
// troubles (judge.go). Nothing depends on it, and it holds nobody up. No chat, person, place, text or key comes in:
// labels and answers are made of the words of this package alone.
package vitals
