package edge_test

import (
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"soloright/api"
	"soloright/api/edge"
)

// contextOf is a gin context of a request with the given headers.
func contextOf(headers map[string]string) (*gin.Context, *httptest.ResponseRecorder) {
	w := httptest.NewRecorder()
	c, _ := gin.CreateTestContext(w)
	c.Request = httptest.NewRequest("GET", "/", nil)
	for k, v := range headers {
		c.Request.Header.Set(k, v)
	}
	return c, w
}

func cookieOf(t *testing.T, w *httptest.ResponseRecorder) *http.Cookie {
	t.Helper()
	all := w.Result().Cookies()
	if len(all) != 1 {
		t.Fatalf("%d cookies set, want 1: %v", len(all), all)
	}
	return all[0]
}

// The attributes that the prefix __Host- asks for (draft-ietf-httpbis-rfc6265bis,
// section 4.1.3.2, from memory: Secure, Path=/ and no Domain), and no script may read it.
func TestSessionCookie(t *testing.T) {
	now := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	c, w := contextOf(nil)
	edge.SetSession(c, api.SignedIn{Token: "tok", Expires: now.Add(api.SessionFor)}, now)
	k := cookieOf(t, w)
	if k.Name != "__Host-soloright" || k.Value != "tok" || k.Path != "/" || k.Domain != "" || !k.Secure || !k.HttpOnly || k.SameSite != http.SameSiteLaxMode {
		t.Errorf("cookie %s", k)
	}
	if want := int(api.SessionFor / time.Second); k.MaxAge != want {
		t.Errorf("the cookie lasts %d s, the session %d s", k.MaxAge, want)
	}
	c, w = contextOf(nil)
	edge.EndSession(c)
	k = cookieOf(t, w)
	if k.Name != "__Host-soloright" || k.Value != "" || k.MaxAge >= 0 || k.Path != "/" || !k.Secure {
		t.Errorf("ending cookie %s", k)
	}
}

// Where there is an Authorization header the cookie counts for nothing, so a
// page cannot lend its session to a request that names another one.
func TestCallerPrecedence(t *testing.T) {
	const cookie = "__Host-soloright=from-the-cookie"
	for _, c := range []struct {
		name    string
		headers map[string]string
		want    api.Caller
	}{
		{"nothing", nil, api.Bearer("")},
		{"cookie", map[string]string{"Cookie": cookie}, api.Bearer("from-the-cookie")},
		{"header", map[string]string{"Authorization": "Bearer from-the-header"}, api.Bearer("from-the-header")},
		{"both", map[string]string{"Authorization": "Bearer from-the-header", "Cookie": cookie}, api.Bearer("from-the-header")},
		{"scheme in other letters", map[string]string{"Authorization": "bEARER  from-the-header "}, api.Bearer("from-the-header")},
		{"another scheme beside the cookie", map[string]string{"Authorization": "Basic eDp5", "Cookie": cookie}, api.Bearer("")},
		{"an empty token beside the cookie", map[string]string{"Authorization": "Bearer", "Cookie": cookie}, api.Bearer("")},
		{"a cookie of another name", map[string]string{"Cookie": "soloright=x"}, api.Bearer("")},
	} {
		ctx, _ := contextOf(c.headers)
		got := edge.Caller(ctx)
		if got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if got == api.Operator() {
			t.Errorf("%s: a request came out as the operator", c.name)
		}
	}
}
