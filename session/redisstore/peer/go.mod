module ledgehand/session/redisstore/peer

go 1.26.0

require (
	github.com/hibiken/asynq v0.26.0
	github.com/redis/go-redis/v9 v9.23.0
	ledgehand v0.0.0
)

require (
	github.com/arran4/golang-ical v0.3.4 // indirect
	github.com/cespare/xxhash/v2 v2.3.0 // indirect
	github.com/go-fonts/dejavu v0.3.2 // indirect
	github.com/google/uuid v1.6.0 // indirect
	github.com/nicksnyder/go-i18n/v2 v2.7.0 // indirect
	github.com/robfig/cron/v3 v3.0.1 // indirect
	github.com/soniakeys/meeus/v3 v3.0.1 // indirect
	github.com/soniakeys/unit v1.0.0 // indirect
	github.com/spf13/cast v1.10.0 // indirect
	go.uber.org/atomic v1.12.0 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/image v0.48.0 // indirect
	golang.org/x/sync v0.25.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/text v0.44.0 // indirect
	golang.org/x/time v0.16.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
	google.golang.org/protobuf v1.36.12 // indirect
)

replace ledgehand => ../../..
