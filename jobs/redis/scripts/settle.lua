-- Ends claims. Each item is settled if its token still holds.
--
-- KEYS  1 due set
-- ARGV  1 now, 2 runner, 3 operation, 4 number of items, then of each: id,
--       token, verdict (0 sent, 1 retry, 2 defer, 3 release, 4 give up),
--       due, looks, reference or reason, number of notices to put, those
--       notices (see put in lib.lua)
-- Returns a string of 1 (settled) and 0 (token lost), one for each item. The
-- runner's last operation is kept with its answer for a repetition.
local now, runner, op = ARGV[1], ARGV[2], ARGV[3]
local last = call('HGET', P .. 'settled', runner)
if last and string.sub(last, 1, #op + 1) == op .. ' ' then return string.sub(last, #op + 2) end

local function back(id, at)
  call('ZREM', LEASE, id)
  call('HDEL', note(id), 'f')
  wait_due(id, at)
end

-- Keeps id as failed. If the next one of a recurring notice follows under
-- the same id, the failed one steps aside.
local function fail(id, token, why, nextid)
  local key, again = note(id), call('HGET', note(id), 'g')
  call('ZREM', LEASE, id)
  if again then return move(id, again) end
  local h = call('HMGET', key, 't', 'o', 'd')
  call('HSET', key, 'w', why)
  call('HDEL', key, 'f', 'l')
  free(h[1], id)
  if nextid == id then
    local aside = id .. '~' .. token
    call('RENAME', key, note(aside))
    if h[2] then
      call('ZREM', P .. 'list:' .. h[2], id)
      call('ZADD', P .. 'list:' .. h[2], h[3], aside)
    end
    id = aside
  end
  call('ZADD', FAILED, now, id)
end

local answer, i = {}, 5
for k = 1, tonumber(ARGV[4]) do
  local id, token, verdict, due, looks, text, n = unpack(ARGV, i, i + 6)
  local holds = call('HGET', note(id), 'f') == token
  i = i + 7
  if holds then
    if verdict == '0' then
      finish(id, text, now)
    elseif verdict == '4' then
      fail(id, token, text, tonumber(n) > 0 and ARGV[i + 1])
    else
      if verdict == '1' then call('HINCRBY', note(id), 'e', 1) end
      if verdict == '3' then
        call('HINCRBY', note(id), 'n', -1)
        if looks ~= '0' then call('HSET', note(id), 'l', looks) end
      end
      back(id, due)
    end
  end
  for _ = 1, tonumber(n) do
    if holds then i = put(i) else i = i + 5 + tonumber(ARGV[i + 4]) end
  end
  answer[k] = holds and '1' or '0'
end
answer = table.concat(answer)
call('HSET', P .. 'settled', runner, op .. ' ' .. answer)
return answer
