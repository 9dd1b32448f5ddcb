package testenv

import (
	"context"
	"fmt"
	"image/png"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// page serves one document under a policy like ours and returns its address.
func page(t *testing.T, body string) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Header().Set("Content-Security-Policy", "default-src 'self'")
		if r.URL.Path == "/page.js" {
			w.Header().Set("Content-Type", "text/javascript")
			fmt.Fprint(w, `document.title = "scripted"`)
			return
		}
		fmt.Fprintf(w, `<!doctype html><html lang="en"><meta name="viewport" content="width=device-width">
			<title>plain</title>%s</html>`, body)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

func do(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

func title(t *testing.T, ctx context.Context) string {
	t.Helper()
	s, err := chromedp.Run(ctx, chromedp.Title())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestBrowserWidths(t *testing.T) {
	ctx := Browser(t)
	at := page(t, strings.Repeat("<p>A page taller than its window", 100))
	for _, width := range []int{Phone, Tablet, Desk} {
		do(t, ctx, Viewport(width), chromedp.Navigate(at))
		got, err := chromedp.Run(ctx, chromedp.Evaluate[int]("window.innerWidth"))
		if err != nil {
			t.Fatal(err)
		}
		if got != width {
			t.Errorf("the window is %d wide, want %d", got, width)
		}
		size := pictureSize(t, Screenshot(ctx, t, fmt.Sprint("width-", width)))
		if size[0] != width || size[1] < 1500 {
			t.Errorf("the picture is %d × %d, want %d × the whole page", size[0], size[1], width)
		}
	}
}

// pictureSize returns width and height of the PNG file at path.
func pictureSize(t *testing.T, path string) [2]int {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	config, err := png.DecodeConfig(f)
	if err != nil {
		t.Fatal(err)
	}
	return [2]int{config.Width, config.Height}
}

// With scripts off the page's script does not run, and a test can still click,
// type and read.
func TestBrowserNoScripts(t *testing.T) {
	ctx := Browser(t)
	at := page(t, `<script src="/page.js"></script><form><input name=n><button>Send</button></form>`)
	do(t, ctx, chromedp.Navigate(at))
	if got := title(t, ctx); got != "scripted" {
		t.Errorf("title %q, want the script's", got)
	}
	do(t, ctx, NoScripts(), chromedp.Navigate(at))
	if got := title(t, ctx); got != "plain" {
		t.Errorf("title %q with scripts off, want the document's", got)
	}
	do(t, ctx, chromedp.SendKeys(chromedp.CSS("input"), "42"))
	if _, err := chromedp.RunResponse(ctx, chromedp.Click(chromedp.CSS("button"))); err != nil {
		t.Fatal(err)
	}
	where, err := chromedp.Run(ctx, chromedp.Location())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(where, "?n=42") {
		t.Errorf("the form led to %s, want ?n=42 at its end", where)
	}
}

// A server on another address of this very machine is out of reach: no page
// under test can lean on another host.
func TestBrowserReachesNoOtherHost(t *testing.T) {
	ctx := Browser(t)
	listener, err := net.Listen("tcp", "127.0.0.2:0")
	if err != nil {
		unreachable(t, "a second loopback address", err)
	}
	other := httptest.NewUnstartedServer(http.NotFoundHandler())
	other.Listener = listener
	other.Start()
	defer other.Close()
	if err := chromedp.Do(ctx, chromedp.Navigate(other.URL)); err == nil {
		t.Errorf("the browser went to %s", other.URL)
	}
}

// A recorder is a test whose failures are written down instead of counting, and
// whose clean-up runs when told.
type recorder struct {
	testing.TB
	failed   []string
	cleanups []func()
}

func (r *recorder) Errorf(format string, args ...any) {
	r.failed = append(r.failed, fmt.Sprintf(format, args...))
}

func (r *recorder) Cleanup(f func()) { r.cleanups = append(r.cleanups, f) }

// finish runs the clean-up, last in first out, as the testing package does.
func (r *recorder) finish() {
	for _, f := range slices.Backward(r.cleanups) {
		f()
	}
}

// What goes wrong in a page fails the test although the test did not look.
func TestBrowserReportsComplaints(t *testing.T) {
	for name, c := range map[string]struct{ body, want string }{
		"exception": {`<script src="/page.js"></script><button>x</button>`, "missing is not defined"},
		"policy":    {`<script>document.title = "inline"</script>`, "Content Security Policy"},
		"clean":     {`<script src="/page.js"></script>`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			r := &recorder{TB: t}
			ctx := Browser(r)
			do(t, ctx, chromedp.Navigate(page(t, c.body)))
			if name == "exception" {
				// Thrown from the page's own queue, not handed back to us.
				if _, err := chromedp.Run(ctx, chromedp.Evaluate[any]("void setTimeout(() => missing())")); err != nil {
					t.Fatal(err)
				}
			}
			title(t, ctx) // a round trip: events sent before it have arrived
			r.finish()
			got := strings.Join(r.failed, "\n")
			if c.want == "" && got != "" || !strings.Contains(got, c.want) {
				t.Errorf("reported %q, want %q in it", got, c.want)
			}
		})
	}
}
