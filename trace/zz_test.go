package trace
import ("testing";"context";"math";"halfstop/geom";"time")
func TestZZ(t *testing.T){
 for _,only := range []bool{true,false} {
	sc := New()
	box(sc, 4,4,4, mat(t, sc, Material{Diffuse: Grey(0.9)}))
	sc.AddEmitter(Point(0, geom.V(2,2,2), up, 10000/4/math.Pi, nil, 0, nil, 0))
	if only { sc.rects=nil }
	sc.Prepare()
	recs := []Receptor{}
	for i:=0;i<5;i++ { for j:=0;j<5;j++ { recs=append(recs, Receptor{Kind:Flat,At:geom.V((float64(i)+.5)*.4,(float64(j)+.5)*.4,0.001),Facing:up})}}
	for _,most := range []int{16,64,256} {
	t0:=time.Now()
	out,_ := sc.Measure(context.Background(), recs, Measuring{Seed: 3, Most: most})
	s,e:=0.0,0.0
	for i:= range out { m:=float64(out[i].Bounced[0][8]); s+=m; v:=0.0; for r:= range Reps { d:=float64(out[i].Parts[r][0][8]-out[i].Bounced[0][8]-out[i].Direct[0][8]); v+=d*d}; e+=math.Sqrt(v/31/32)/m }
	t.Logf("guides %v most %d: mean %.2f rel err %.4f ; %v",!only, most, s/25, e/25, time.Since(t0))
 }}
}
