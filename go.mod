module heelpost

go 1.26

require (
	github.com/google/go-cmp v0.7.0
	github.com/robfig/cron/v3 v3.0.1
	pgregory.net/rapid v1.3.0
)

require go.yaml.in/yaml/v3 v3.0.6
