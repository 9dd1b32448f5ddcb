package testenv

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// Widths, in CSS pixels, that every page has to look right at.
const (
	Phone  = 390
	Tablet = 820
	Desk   = 1400
)

// browserPatience bounds all the work of one test in its browser, so that
// waiting for something that never comes ends before the test binary is stopped.
const browserPatience = 3 * time.Minute

// Browser starts a headless Chromium with an empty profile and returns the
// context of its one tab, for chromedp.Do, chromedp.Run and chromedp.Call. The
// window is Desk wide; see Viewport and NoScripts. The browser reaches this
// machine's 127.0.0.1 and localhost, and no other host. It is closed when the
// test ends, and the context ends after three minutes at the latest.
//
// An exception that a page's script does not catch, and whatever the page's
// security policy blocked, fails the test, whether it looked for it or not.
//
// Without Chromium on this machine the test is skipped, or fails where CI is
// set.
func Browser(t testing.TB) context.Context {
	t.Helper()
	path, err := findBrowser()
	if err != nil {
		unreachable(t, "a browser", err)
	}
	allocator, release := chromedp.NewExecAllocator(context.Background(), browserOptions(path)...)
	t.Cleanup(release)
	tab, _ := chromedp.NewContext(allocator) // closed by chromedp.Cancel below
	// The browser lives as long as the context that starts it: not the one with
	// the time limit, or it would vanish before it could be closed in order.
	if err := chromedp.Do(tab); err != nil {
		unreachable(t, "a browser", fmt.Errorf("%s does not start: %w", path, err))
	}
	ctx, giveUp := context.WithTimeout(tab, browserPatience)
	t.Cleanup(func() {
		giveUp()
		if err := chromedp.Cancel(tab); err != nil {
			t.Errorf("close the browser: %v", err)
		}
	})
	if err := reportComplaints(t, tab); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, Viewport(Desk)); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// findBrowser returns the path of Chromium.
func findBrowser() (string, error) {
	for _, name := range []string{"chromium", "chromium-browser", "headless_shell", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errors.New("no chromium on the PATH")
}

// browserOptions returns what a Chromium is started with: headless, on an empty
// profile that chromedp removes, silent towards the outside.
func browserOptions(path string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.NoFirstRun,
		chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-gpu", true),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-sync", true),
		// Every other host has no address, even one that a page names by number.
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"),
		chromedp.Flag("lang", "en-GB"),
	)
}

// Viewport makes the window width CSS pixels wide, with a height that goes with
// it. Up to Tablet it behaves as a touch screen: no hovering, and a page has to
// say that it fits a small screen.
func Viewport(width int) chromedp.Action[chromedp.Void] {
	switch {
	case width <= Phone:
		return chromedp.EmulateViewport(int64(width), 844, chromedp.EmulateMobile, chromedp.EmulateTouch)
	case width <= Tablet:
		return chromedp.EmulateViewport(int64(width), 1180, chromedp.EmulateMobile, chromedp.EmulateTouch)
	default:
		return chromedp.EmulateViewport(int64(width), 900)
	}
}

// NoScripts stops pages from running scripts, from the next page on.
func NoScripts() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled,
			emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	})
}

// Screenshot writes a picture of the whole page, beyond the window's lower edge
// too, to name.png in the test's artifact folder, and returns the path. The
// folder is gone after the test unless the tests run with -artifacts:
//
//	go test ./web -run Pages -artifacts -outputdir /tmp/shots
func Screenshot(ctx context.Context, t testing.TB, name string) (path string) {
	t.Helper()
	picture, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatalf("take screenshot %s: %v", name, err)
	}
	path = filepath.Join(t.ArtifactDir(), name+".png")
	if err := os.WriteFile(path, picture, 0o644); err != nil {
		t.Fatalf("keep screenshot %s: %v", name, err)
	}
	return path
}
