module heelpost

go 1.26.0

require (
	github.com/alicebob/miniredis/v2 v2.40.0
	github.com/google/go-cmp v0.7.0
	github.com/redis/go-redis/v9 v9.23.0
	github.com/robfig/cron/v3 v3.0.1
	go.yaml.in/yaml/v3 v3.0.6
	pgregory.net/rapid v1.3.0
)

require (
	github.com/cespare/xxhash/v2 v2.3.0 // indirect
	github.com/yuin/gopher-lua v1.1.1 // indirect
	go.uber.org/atomic v1.12.0 // indirect
	golang.org/x/sys v0.48.0 // indirect
)
