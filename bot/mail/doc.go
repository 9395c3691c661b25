// Package mail sends messages as e-mail, to those ashore that no chat service reaches. It knows one server, by SMTP (RFC 5321), and
// makes one attempt a call with an honest report, as bot/telegram does; trying again is the outbox's to decide.
//
// A mail that the server took is "sent": whether it was delivered, or read, nobody can tell. What comes back by mail, answers and
// bounces, goes to the sender's address, which is whoever runs the bot; nothing here reads it.
//
// Neither an address nor a word of a mail, nor what the server says, which may quote both, gets into a report or an error: only
// codes (RFC 5321, RFC 3463) and words of our own.
package mail
