package chat

import "errors"

// File is a file somebody sent. What it says of itself is their word: the name is hostile text, and the size is
// checked again by whoever fetches it.
type File struct {
	ID   string `json:"id"`             // the service's reference, by which it can be fetched for a while
	Name string `json:"name,omitempty"` // without a path
	Type string `json:"type,omitempty"` // media type
	Size int64  `json:"size,omitempty"` // bytes, 0 not said
}

// Document is a file to post. The text goes under it as its caption.
type Document struct {
	Data []byte `json:"data"`
	Name string `json:"name"` // file name, without a path
	Type string `json:"type"` // media type
}

// MaxFile is the most bytes of a file that we read: far more than any list of ledges or rules has, and little enough to
// read at once (common practice, no source). Telegram hands out up to 20 MB (Bot API, getFile).
const MaxFile = 1 << 20

// Why a file cannot be had; any other error is trouble on the way, and may pass.
var (
	ErrFileTooBig = errors.New("file is larger than is read here")
	ErrFileGone   = errors.New("the service does not have that file any more")
)

// ErrNotIn means that we are not in a chat any more, or that there is no such chat.
var ErrNotIn = errors.New("not in that chat")
