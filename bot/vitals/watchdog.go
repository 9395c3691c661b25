package vitals

import (
	"context"
	"net"
	"net/http"
	"slices"
	"time"
)

// A dog outside barks when it has not been called for a while. So it is called only after a whole healthy cycle, and
// whatever breaks, this program included, is heard by the silence.
type dog struct {
	address string
	http    *http.Client

	began    time.Time // the first look
	said     []string  // the troubles that were logged since all was well
	withheld time.Time // when a call was last counted as withheld
}

// pingWithin bounds one call, whole.
const pingWithin = 5 * time.Second

func newDog(o Options) *dog {
	transport := o.Client
	if transport == nil {
		transport = &http.Transport{
			Proxy:               http.ProxyFromEnvironment,
			DialContext:         (&net.Dialer{Timeout: pingWithin}).DialContext,
			TLSHandshakeTimeout: pingWithin,
			DisableKeepAlives:   true, // one call a minute, each to be believed by itself
		}
	}
	return &dog{address: o.Watchdog, http: &http.Client{
		Transport: transport, Timeout: pingWithin,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
}

// feed calls the watchdog if it is time and all is well. Only Step calls it.
func (v *Vitals) feed(ctx context.Context, now time.Time) {
	d := v.dog
	if d.address == "" {
		return
	}
	if d.began.IsZero() {
		d.began = now
	}
	f := v.facts()
	if !f.pinged.IsZero() && now.Before(f.pinged.Add(v.o.Every)) {
		return
	}
	// A round since the last call, or, however seldom it is called, a recent one.
	cleanSince := now.Add(-v.b.Clean)
	if f.pinged.After(cleanSince) {
		cleanSince = f.pinged
	}
	if bad := unfit(f, v.b, cleanSince, now); len(bad) > 0 {
		if d.withheld.IsZero() || !now.Before(d.withheld.Add(v.o.Every)) {
			d.withheld = now
			v.m.pings.add("withheld")
		}
		starting := f.pinged.IsZero() && now.Sub(d.began) < v.o.Every // nothing can be well yet
		fresh := slices.DeleteFunc(bad, func(t trouble) bool { return slices.Contains(d.said, t.word) })
		if len(fresh) > 0 && !starting {
			for _, t := range fresh {
				d.said = append(d.said, t.word)
			}
			v.o.Log.Error("no sign of life is given to the watchdog", "why", say(fresh))
		}
		return
	}
	if d.said != nil {
		d.said = nil
		v.o.Log.Info("all is well again; the watchdog is called")
	}
	d.withheld = time.Time{}
	v.mu.Lock()
	v.f.pinged = now
	v.mu.Unlock()
	v.m.pings.add(d.call(ctx))
}

// call makes one call. What is answered is not read; where it fails, the word is all that is kept: the address is a
// secret, and errors of net/http quote it.
func (d *dog) call(ctx context.Context) string {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, d.address, nil)
	if err != nil {
		return "unreachable"
	}
	req.Header.Set("User-Agent", "ledgehand")
	res, err := d.http.Do(req)
	if err != nil {
		return "unreachable"
	}
	_ = res.Body.Close()
	if res.StatusCode < 200 || res.StatusCode > 299 {
		return "refused"
	}
	return "answered"
}
