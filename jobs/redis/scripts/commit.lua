-- Makes a change, whole or not at all.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 operation
--       3 notice dealt with or '', 4 its token
--       5 door or '', 6 version expected, 7 state, 8 log entry,
--       9 memberships: "name\tscore" joined by newlines
--       10 name that must be bound, 11 to this, if it is at all
--       then four lists, each with its length in front:
--       questions (key, value; '' closes), notices to cancel (id),
--       to move (id, due), to put (see put in lib.lua)
-- Returns {1, version, found} done, now or before by the same operation;
--         {0, version} the door has another version;
--         {-1} the token no longer holds; {-2} the operation's day is closed;
--         {-3} the name is bound to something else.
--
-- The log keeps the operation of a door's change, so a repetition is known
-- for ever. Other operations are marked among those of their day, with what
-- they found, until the day is closed (tidy.lua): then none of it is taken.
local now, op, door = ARGV[1], ARGV[2], ARGV[5]
local ops = P .. 'ops:' .. int(math.floor(tonumber(now) / 86400000))
local dkey, log, old = P .. 'door:' .. door, P .. 'log:' .. door, {}
local version = tonumber(ARGV[6])
local entry = int(version + 1) .. '-0'

if door ~= '' then
  old = call('HMGET', dkey, 'v', 'x')
  local have = tonumber(old[1] or 0)
  if have ~= version then
    local e = call('XRANGE', log, entry, entry)[1]
    if e and e[2][2] == op then return {1, version + 1, tonumber(e[2][6])} end
    return {0, have}
  end
  local bound = ARGV[10] ~= '' and call('HGET', P .. 'refs', ARGV[10])
  if bound and bound ~= ARGV[11] then return {-3} end
else
  local before = redis.pcall('HGET', ops, op)
  if type(before) == 'table' then return {-2} end
  if before then return {1, 0, tonumber(before)} end
end
if ARGV[3] ~= '' and call('HGET', note(ARGV[3]), 'f') ~= ARGV[4] then return {-1} end

-- Where each list starts, and how many notices it names that there are.
local questions = 12
local cancel = questions + 1 + 2 * tonumber(ARGV[questions])
local moves = cancel + 1 + tonumber(ARGV[cancel])
local puts = moves + 1 + 2 * tonumber(ARGV[moves])
local found = 0
for i = cancel + 1, moves - 1 do found = found + call('EXISTS', note(ARGV[i])) end
for i = moves + 1, puts - 1, 2 do found = found + call('EXISTS', note(ARGV[i])) end

if door ~= '' then
  call('XADD', log, entry, 'op', op, 'at', now, 'found', found, 'e', ARGV[8])
  call('HSET', dkey, 'v', int(version + 1), 's', ARGV[7], 'x', ARGV[9])
  index(door, old[2] or '', ARGV[9])
else
  call('HSET', ops, op, found)
end
if ARGV[3] ~= '' then finish(ARGV[3], '', now) end
for i = questions + 1, cancel - 1, 2 do
  if ARGV[i + 1] == '' then
    call('HDEL', P .. 'questions', ARGV[i])
    call('ZREM', P .. 'asked', ARGV[i])
  else
    call('HSET', P .. 'questions', ARGV[i], ARGV[i + 1])
    call('ZADD', P .. 'asked', now, ARGV[i])
  end
end
for i = cancel + 1, moves - 1 do drop(ARGV[i]) end
for i = moves + 1, puts - 1, 2 do move(ARGV[i], ARGV[i + 1], now) end
local i = puts + 1
for _ = 1, tonumber(ARGV[puts]) do i = put(i, now) end
return {1, door ~= '' and version + 1 or 0, found}
