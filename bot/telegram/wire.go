package telegram

import (
	"encoding/json"

	"github.com/go-telegram/bot/models"
)

// The shapes below hold what we act on and nothing else. The library's own Update rejects the
// whole update when any union inside it, say in the message somebody replied to, is of a kind
// newer than the library. A "back home" must not be lost to a sticker's novelty, so unions are
// only looked at for being there.

type message struct {
	ID        int                    `json:"message_id"`
	Thread    int                    `json:"message_thread_id"`
	InTopic   bool                   `json:"is_topic_message"`
	From      *models.User           `json:"from"`
	SenderAs  *models.Chat           `json:"sender_chat"`
	Date      int64                  `json:"date"`
	EditDate  int64                  `json:"edit_date"`
	Chat      models.Chat            `json:"chat"`
	Forwarded json.RawMessage        `json:"forward_origin"`
	AutoFwd   bool                   `json:"is_automatic_forward"`
	ReplyTo   *repliedTo             `json:"reply_to_message"`
	Text      string                 `json:"text"`
	Entities  []models.MessageEntity `json:"entities"`
	Photo     []models.PhotoSize     `json:"photo"`
	Document  *document              `json:"document"`
	Caption   string                 `json:"caption"`
	CaptionEs []models.MessageEntity `json:"caption_entities"`
	Location  *models.Location       `json:"location"`
	Left      *models.User           `json:"left_chat_member"`
	MovedTo   int64                  `json:"migrate_to_chat_id"`
	MovedFrom int64                  `json:"migrate_from_chat_id"`
}

// document is a file somebody sent. Its thumbnail and what else there is of it we leave alone.
type document struct {
	ID   string `json:"file_id"`
	Name string `json:"file_name"`
	Type string `json:"mime_type"`
	Size int64  `json:"file_size"`
}

type repliedTo struct {
	ID   int          `json:"message_id"`
	From *models.User `json:"from"`
}

// tap is a callback query. The message may be an InaccessibleMessage, which has these fields too.
type tap struct {
	ID      string      `json:"id"`
	From    models.User `json:"from"`
	Message *message    `json:"message"`
	Data    string      `json:"data"`
}

type membership struct {
	Chat models.Chat `json:"chat"`
	From models.User `json:"from"`
	Date int64       `json:"date"`
	Old  standing    `json:"old_chat_member"`
	New  standing    `json:"new_chat_member"`
}

type standing struct {
	Status   models.ChatMemberType `json:"status"`
	IsMember bool                  `json:"is_member"`
	CanSend  bool                  `json:"can_send_messages"`
}
