package bot

import (
	"context"

	"heelpost/bot/ask"
)

// Poster brings a post to where people see it.
type Poster interface {
	// Post posts, and returns where the post can be found.
	Post(ctx context.Context, p Post) (ref string, err error)
	// Find looks for the post where it would be posted, by its id.
	Find(ctx context.Context, p Post) (ref string, found bool, err error)
}

// Fetcher is a [Poster] that fetches the text file which was sent with a message. A
// [RefusalError] says why there is none; another error may pass.
type Fetcher interface {
	Fetch(ctx context.Context, sent []TextFile) (*ask.LogFile, error)
}

// Rooms is a [Poster] that has more than posts one after the other: a face
// for each door, under which its thread goes on, and a home for each person.
type Rooms interface {
	// Face posts a door's face, or edits the one that stands.
	Face(ctx context.Context, p Post) (ref string, err error)
	// Home draws the home of a person of a site anew, if they have one.
	Home(ctx context.Context, site, person string) error
}
