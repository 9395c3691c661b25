// Package bottest is a Bot API server that behaves, with people who press its buttons: for
// tests and for the demonstration, where nothing may leave the machine. It keeps the rules that
// bite in practice: updates confirmed by offset and forgotten with age, one poller at a time or a
// webhook that is delivered to in order and again (Deliver), privacy mode, people who never pressed
// Start or blocked the bot, groups it left, migration, length and button limits, HTML it cannot
// parse, floods, and answers lost on their way. Faults can be injected for the rest.
//
// It does not model channels, inline mode, media other than photos, rights of single members, or
// limits that Telegram does not publish; floods are off unless asked for. Its webhooks may be plain
// http on any port, as with a Bot API server of one's own; of their answers it reads the status and
// Retry-After alone, and 410 is no reason to give one up. Where Telegram's own wording of an error
// matters it follows the open-source Bot API server.
//
// All times are the caller's: dates and ages come from the now it is given, so an invented day
// can be played; only a long poll waits in real time (or a synctest bubble's).
package bottest
