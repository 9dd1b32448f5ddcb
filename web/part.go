package web

import (
	"strconv"

	"github.com/gin-gonic/gin"

	"soloright/api"
)

// shown is how many lines a page shows of a list that may be long.
const shown = 50

// beginning is the line, counted from 1, with which the asked part of a list begins.
func beginning(c *gin.Context) (int, error) {
	first, err := strconv.Atoi(c.DefaultQuery("from", "1"))
	if err != nil || first < 1 || first > 1_000_000 {
		return 0, &api.Error{Kind: api.NotFound, Message: "There is no such part of this list."}
	}
	return first, nil
}

// around says where the parts before and after this one begin; 0 where there is
// none. known is how many lines there are, or at least as many as show that one
// follows.
func around(first, known int) (before, after int) {
	if first > 1 {
		before = max(1, first-shown)
	}
	if known >= first+shown {
		after = first + shown
	}
	return before, after
}
