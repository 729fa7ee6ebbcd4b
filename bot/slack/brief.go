package slack

import (
	"slices"

	"heelpost/bot/say"
)

// noted returns a page with a note below it.
func noted(s screen, note string) screen {
	lines := append(slices.Clone(s.lines), line{role: small, apart: true, spans: []span{{text: note}}})
	return screen{Text: linesText(lines), Blocks: append(layout(lines), s.buttons...), lines: lines, buttons: s.buttons}
}

// brief shows a screen in one message, whatever its length: what does not fit
// gives way to a note, and the buttons stay.
func brief(l *say.Language, s screen, note say.Text) screen {
	if all := pages(l, s); len(all) == 1 {
		return all[0]
	}
	rest := l.Say(note)
	var lines []line
	for used := len(rest); len(lines) < min(len(s.lines), maxLines); {
		l := s.lines[len(lines)]
		if used += l.size() + 1; used > maxPage {
			break
		}
		lines = append(lines, l)
	}
	return noted(screen{lines: lines, buttons: s.buttons}, rest)
}
