package bot

import (
	"strings"
)

// BotName is who the bot is in a conversation. Nobody else may be called so.
const BotName = "bot"

// Script returns a post as lines of a conversation.
func (p *Post) Script() string {
	var b strings.Builder
	b.WriteString(BotName)
	if p.Thread != "" {
		b.WriteString(" #" + p.Thread)
	}
	b.WriteString("> ")
	b.WriteString(strings.ReplaceAll(Printable(p.Text), "\n", "\n  "))
	b.WriteByte('\n')
	return b.String()
}
