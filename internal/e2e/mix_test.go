package e2e

import (
	"testing"
	"time"

	"halfstop/internal/e2e/browser"
)

// TestPlainMix: the plain JavaScript mix gives the picture that WebGL2 gives. Both are the same
// sums, but the two pages may hold a different number of samples, so cells of some forty pixels are
// compared: on average within eight of 255, a quarter of a stop in the middle greys. A wrong
// matrix, order or curve is off by several times that.
func TestPlainMix(t *testing.T) {
	t.Parallel()
	text := bareShoot() + "      - {role: fill, head: battery head 500, modifier: bare, at: [3, 3.4], height: 1.5 m, " +
		"aim: sitter.face, power: 1/64}\n"
	address, _ := serveText(t, text)
	b := browser.Profile(t)
	grey := `(()=>{const c=document.createElement("canvas");c.width=48;c.height=72;const x=c.getContext("2d");x.drawImage(document.getElementById("picture"),0,0,48,72);return JSON.stringify([...x.getImageData(0,0,48,72).data].filter((_,i)=>i%4!==3))})()`
	two := open(t, b, address, 1440, 900)
	two.Until("a picture", picture, 60*time.Second)
	done := `Number(document.getElementById("page").dataset.film)>=2`
	two.Until("two samples a pixel", done, 150*time.Second)
	plain := open(t, b, address+"/?plain=", 1440, 900)
	plain.Until("two samples a pixel", done, 150*time.Second)
	diff := two.Str(`JSON.stringify(` + grey + `)`)
	got := plain.number(`(()=>{const a=JSON.parse(` + diff + `),b=JSON.parse(` + grey +
		`);let s=0;for(let i=0;i<a.length;i++)s+=Math.abs(a[i]-b[i]);return s/a.length})()`)
	t.Logf("mean difference %.2f of 255", got)
	if got > 8 {
		t.Errorf("the plain mix differs from WebGL2's by %.2f of 255 on average", got)
	}
	plain.Clean()
}
