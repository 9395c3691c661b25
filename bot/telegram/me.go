package telegram

// Me is the bot's own account.
type Me struct {
	ID       int64
	Username string // without the @
	Name     string
	ReadsAll bool // privacy mode is off: every line of a group reaches us, not only commands and replies
}

// Command is one entry of the command list that Telegram shows. Name is 1 to 32 characters of
// a-z, 0-9 and _, without the slash; Description 1 to 256 characters.
type Command struct {
	Name        string
	Description string
}

// defaultServer is where Telegram's own Bot API answers.
const defaultServer = "https://api.telegram.org"
