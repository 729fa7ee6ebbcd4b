-- What the scripts share; it stands in front of each of them.
--
-- KEYS[1] is the due set of the workspace. Every other key is built under
-- the same hash tag (keys.go names them), so one script touches one slot.
-- Times are whole milliseconds and come in as arguments.
local P = string.sub(KEYS[1], 1, -4)
local DUE, LEASE, FAILED, BUSY = KEYS[1], P .. 'lease', P .. 'failed', P .. 'busy'
local call = redis.call

-- Numbers go out as whole decimals: tostring would round at 14 digits.
local function int(x) return string.format('%.0f', x) end

-- The prefix is short: it stands in the key of every notice.
local function note(id) return P .. 'n:' .. id end

-- Puts id among the due ones and wakes the runners if it is the next. They
-- sleep a second at most, so what is due later than that wakes nobody.
local function wait_due(id, at, now)
  call('ZADD', DUE, at, id)
  if now and tonumber(at) > tonumber(now) + 2000 then return end
  if call('ZRANK', DUE, id) == 0 then call('PUBLISH', P .. 'nudge', at) end
end

-- Ends id's hold on its thread; the first that waited for it is due again.
local function free(thread, id)
  if not thread or call('HGET', BUSY, thread) ~= id then return end
  call('HDEL', BUSY, thread)
  local first = call('ZPOPMIN', P .. 'wait:' .. thread)
  if first[1] then wait_due(first[1], int(tonumber(first[2]))) end
end

-- Takes id out of the place it waits in: due, behind its thread, or failed.
local function unplace(id, thread)
  if call('ZREM', DUE, id) == 0 and call('ZREM', FAILED, id) == 0 and thread then
    call('ZREM', P .. 'wait:' .. thread, id)
  end
  free(thread, id)
end

-- Deletes id from everywhere.
local function drop(id)
  local h = call('HMGET', note(id), 't', 'o')
  call('DEL', note(id))
  if h[2] then call('ZREM', P .. 'list:' .. h[2], id) end
  if call('ZREM', DUE, id) == 1 or call('ZREM', LEASE, id) == 1 then return free(h[1], id) end
  unplace(id, h[1])
end

-- Gives id another due time and a fresh start. One that is being sent gets
-- the time as 'g': it goes out again then. Returns 1, or 0 if there is none.
local function move(id, at, now)
  local h = call('HMGET', note(id), 'k', 't', 'o')
  if not h[1] then return 0 end
  if call('ZSCORE', LEASE, id) then
    call('HSET', note(id), 'g', at)
    return 1
  end
  unplace(id, h[2])
  call('HDEL', note(id), 'n', 'e', 'f', 'l', 'w', 'g')
  call('HSET', note(id), 'd', at)
  if h[3] then call('ZADD', P .. 'list:' .. h[3], at, id) end
  wait_due(id, at, now)
  return 1
end

-- Puts a door into the sets of new, "name\tscore" joined by newlines, and out
-- of those of old that are not among them.
local function index(door, old, new)
  if old == new then return end
  for name in string.gmatch(old, '([^\t\n]+)\t') do call('ZREM', P .. 'index:' .. name, door) end
  for name, score in string.gmatch(new, '([^\t\n]+)\t([^\n]+)') do
    call('ZADD', P .. 'index:' .. name, score, door)
  end
end

-- Reads a notice to put from ARGV[i]: keep, id, due, door, number of fields,
-- fields. Puts it and returns the index behind it.
local function put(i, now)
  local keep, id, at, door, n = ARGV[i], ARGV[i + 1], ARGV[i + 2], ARGV[i + 3], tonumber(ARGV[i + 4])
  local key, after = note(id), i + 5 + n
  if call('EXISTS', key) == 1 then
    if call('ZSCORE', LEASE, id) then
      call('HSET', key, 'g', at, unpack(ARGV, i + 5, after - 1))
      return after
    end
    if keep == '1' then return after end
    drop(id)
  end
  call('HSET', key, 'd', at, unpack(ARGV, i + 5, after - 1))
  if door ~= '' then call('ZADD', P .. 'list:' .. door, at, id) end
  wait_due(id, at, now)
  return after
end

-- Ends a claimed notice that was dealt with. A reference, where there is
-- one, is kept in the record of what was sent.
local function finish(id, ref, now)
  local h = call('HMGET', note(id), 'k', 't', 'o', 'd', 'n', 'g')
  if ref ~= '' then
    call('XADD', P .. 'sent:' .. (h[3] or ''), 'MAXLEN', '~', '1000', '*',
      'id', id, 'k', h[1], 'd', h[4], 'n', h[5], 'at', now, 'ref', ref)
  end
  if h[6] then
    call('ZREM', LEASE, id)
    move(id, h[6])
    return
  end
  drop(id)
end
