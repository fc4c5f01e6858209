// Package metrics tells a monitoring system how the program fares, in Prometheus's form, on an address of its own: how long
// requests take by route, and how far the decision logs are signed. Nothing of a person is among it: routes stand as they are
// written in the program, without what is filled in.
package metrics

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

// Metrics is what is counted while the program runs.
type Metrics struct {
	registry *prometheus.Registry
	requests *prometheus.HistogramVec
}

// New counts requests, and asks the application how its logs stand whenever the monitoring system asks.
func New(a *app.App, log *slog.Logger) *Metrics {
	m := &Metrics{registry: prometheus.NewRegistry(), requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
		Name: "witnessmark_request_seconds", Help: "How long requests took, by route, method and status.", Buckets: prometheus.DefBuckets,
	}, []string{"route", "method", "status"})}
	m.registry.MustRegister(m.requests, &logs{app: a, log: log}, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return m
}

// Count is the middleware that counts requests. Requests to no route share one name, so that nobody can make up many.
func (m *Metrics) Count(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		err := next(c)
		if err != nil {
			c.Error(err)
		}
		route := c.Path()
		if route == "" || c.Response().Status == http.StatusNotFound && route == "/*" {
			route = "none"
		}
		m.requests.WithLabelValues(route, httpd.Method(c.Request()), strconv.Itoa(c.Response().Status)).Observe(time.Since(start).Seconds())
		return nil
	}
}

// Serve answers /metrics on l until ctx ends.
func (m *Metrics) Serve(ctx context.Context, l net.Listener) error {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{}))
	srv := &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}
	defer context.AfterFunc(ctx, func() { _ = srv.Close() })()
	if err := srv.Serve(l); ctx.Err() == nil {
		return err
	}
	return nil
}

// logs are the decision logs as they stand when somebody asks.
type logs struct {
	app *app.App
	log *slog.Logger
}

var (
	entries  = prometheus.NewDesc("witnessmark_log_entries", "Entries of a centre's decision log.", []string{"centre"}, nil)
	signed   = prometheus.NewDesc("witnessmark_log_signed_entries", "Entries of it that are signed.", []string{"centre"}, nil)
	signedAt = prometheus.NewDesc("witnessmark_log_signed_timestamp_seconds", "When it was signed last.", []string{"centre"}, nil)
)

// Describe names them.
func (l *logs) Describe(out chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{entries, signed, signedAt} {
		out <- d
	}
}

// askTime is how long the logs may take to answer.
const askTime = 5 * time.Second

// Collect asks for them.
func (l *logs) Collect(out chan<- prometheus.Metric) {
	ctx, stop := context.WithTimeout(context.Background(), askTime)
	defer stop()
	all, err := l.app.LogStandings(ctx)
	if err != nil {
		l.log.Warn("the decision logs could not be asked how they stand", "err", err)
		return
	}
	for _, s := range all {
		out <- prometheus.MustNewConstMetric(entries, prometheus.GaugeValue, float64(s.Size), s.Code)
		out <- prometheus.MustNewConstMetric(signed, prometheus.GaugeValue, float64(s.Signed), s.Code)
		if !s.SignedAt.IsZero() {
			out <- prometheus.MustNewConstMetric(signedAt, prometheus.GaugeValue, float64(s.SignedAt.Unix()), s.Code)
		}
	}
}
