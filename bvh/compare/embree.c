/* Times Embree's single-ray queries, as it comes and in robust mode, on the room and rays that TestWriteRoom wrote, and compares its
   answers with ours. Usage: embree FOLDER ROUNDS. One thread. */
#include <embree3/rtcore.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct { float o[3], d[3], tmin, tmax; } Ray;
typedef struct { float t, u, v; uint32_t prim; } Hit;

static void *load(const char *dir, const char *name, const char *end, long *size) {
	char path[4096];
	snprintf(path, sizeof path, "%s/%s%s", dir, name, end);
	FILE *f = fopen(path, "rb");
	if (!f) { perror(path); exit(1); }
	fseek(f, 0, SEEK_END);
	*size = ftell(f);
	rewind(f);
	void *p = malloc(*size);
	if (fread(p, 1, *size, f) != (size_t)*size) { perror(path); exit(1); }
	fclose(f);
	return p;
}

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec + t.tv_nsec * 1e-9;
}

int main(int argc, char **argv) {
	if (argc != 3) { fprintf(stderr, "usage: embree FOLDER ROUNDS\n"); return 2; }
	long size;
	uint32_t *m = load(argv[1], "mesh", ".bin", &size);
	uint32_t nv = m[0], nf = m[1];
	RTCDevice dev = rtcNewDevice("threads=1");
	RTCScene scenes[2];
	for (int s = 0; s < 2; s++) {
		scenes[s] = rtcNewScene(dev);
		rtcSetSceneBuildQuality(scenes[s], RTC_BUILD_QUALITY_HIGH);
		if (s) rtcSetSceneFlags(scenes[s], RTC_SCENE_FLAG_ROBUST);
		RTCGeometry g = rtcNewGeometry(dev, RTC_GEOMETRY_TYPE_TRIANGLE);
		memcpy(rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 12, nv), m + 2, 12L * nv);
		memcpy(rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 12, nf), m + 2 + 3L * nv, 12L * nf);
		rtcCommitGeometry(g);
		rtcAttachGeometry(scenes[s], g);
		double a = now();
		rtcCommitScene(scenes[s]);
		fprintf(stderr, "embree build%s: %.3f s, %u triangles\n", s ? " robust" : "", now() - a, nf);
	}
	const char *sets[] = {"primary", "bounce1", "bounce2", "shadow"};
	for (int k = 0; k < 4; k++) {
		uint32_t *w = load(argv[1], sets[k], ".bin", &size);
		uint32_t n = w[0];
		Ray *rays = (Ray *)(w + 1);
		Hit *hits = load(argv[1], sets[k], ".hits.bin", &size);
		for (int s = 0; s < 2; s++) {
			struct RTCIntersectContext ctx;
			rtcInitIntersectContext(&ctx);
			double best = 1e30;
			long bad = 0;
			for (int r = 0; r < atoi(argv[2]); r++) {
				bad = 0;
				double a = now();
				for (uint32_t i = 0; i < n; i++) {
					struct RTCRayHit q = {{rays[i].o[0], rays[i].o[1], rays[i].o[2], rays[i].tmin, rays[i].d[0], rays[i].d[1], rays[i].d[2], 0,
						rays[i].tmax, -1, 0, 0}, {0}};
					q.hit.geomID = RTC_INVALID_GEOMETRY_ID;
					if (k == 3) {
						rtcOccluded1(scenes[s], &ctx, &q.ray);
						bad += (q.ray.tfar < 0) != (hits[i].prim != UINT32_MAX);
					} else {
						rtcIntersect1(scenes[s], &ctx, &q);
						int miss = q.hit.geomID == RTC_INVALID_GEOMETRY_ID;
						bad += miss != (hits[i].prim == UINT32_MAX) || (!miss && fabsf(q.ray.tfar - hits[i].t) > 1e-4f * hits[i].t + 1e-5f);
					}
				}
				double d = now() - a;
				if (d < best) best = d;
			}
			printf("%s embree%s %.3f Mray/s, %ld of %u answers differ from ours\n", sets[k], s ? "-robust" : "", n / best / 1e6, bad, n);
		}
	}
	return 0;
}
