package redis

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"heelpost/jobs"
)

// toldKept is how many entries a place of a room keeps.
const toldKept = 2000

// Tell writes an entry into the log of a place in a room of our own, and
// returns its number, which grows over all places. An entry of an id that
// stands there is not written again: fresh is false, and the number is that
// one's. The log of a door goes with the door.
func (s *Store) Tell(ctx context.Context, place, id string, data []byte) (n int64, fresh bool, err error) {
	reply, err := s.write(ctx, s.run.tell, place, id, data, toldKept).Int64Slice()
	if err != nil {
		return 0, false, fmt.Errorf("tell %s: %w", place, err)
	}
	return reply[0], reply[1] == 1, nil
}

// Told returns up to count entries of a place: the first ones behind a number,
// or the last ones where that is negative. An entry's version is its number,
// its operation its id.
func (s *Store) Told(ctx context.Context, place string, after int64, count int) ([]jobs.Entry, error) {
	count = min(count, maxBatch)
	if after < 0 {
		last, err := s.rdb.ZRangeWithScores(ctx, s.key.telling(":"+place), int64(-count), -1).Result()
		if err != nil || len(last) == 0 {
			return nil, err
		}
		after = int64(last[0].Score) - 1
	}
	ms, err := s.rdb.XRangeN(ctx, s.key.told(place), strconv.FormatInt(after+1, 10)+"-0", "+", int64(count)).Result()
	if err != nil {
		return nil, fmt.Errorf("told at %s: %w", place, err)
	}
	es := make([]jobs.Entry, len(ms))
	for i, m := range ms {
		n, err := strconv.ParseInt(strings.TrimSuffix(m.ID, "-0"), 10, 64)
		if err != nil {
			return nil, fmt.Errorf("told at %s: entry %s: %w", place, m.ID, err)
		}
		id, _ := m.Values["id"].(string)
		data, _ := m.Values["e"].(string)
		es[i] = jobs.Entry{Version: n, Op: id, Data: []byte(data)}
	}
	return es, nil
}
