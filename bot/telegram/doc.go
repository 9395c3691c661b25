// Package telegram is the bot's one window to Telegram: it turns updates into chat.Requests
// (Decode), fetches them so that none is lost (Poller) or lets them be delivered so (Webhook), and
// turns chat.Messages into Bot API calls with an honest report on what became of each (Sender). It
// knows the chat contract and nothing of tides, outings or storage.
//
// It does not model inline mode, channels, polls, payments or business accounts, and it neither
// limits its own rate nor retries: who is told first, and again, is the outbox's to decide. Written against Bot API 9.4 and read against 10.3; kinds of update, message or member
// that are newer than that become chat.KindOther or an error for that one update.
package telegram
