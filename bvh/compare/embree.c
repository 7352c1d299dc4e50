/* Times Embree's single-ray queries, as it comes and in robust mode, on the room and rays that TestWriteRoom wrote, and compares its
   answers with ours. Usage: embree FOLDER ROUNDS THREADS. Prints one line a round:
   rays a second of processor time, times threads. */
#include <embree3/rtcore.h>
#include <math.h>
#include <pthread.h>
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

/* Processor time of all threads: the clock on the wall says little on a shared machine. */
static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return t.tv_sec + t.tv_nsec * 1e-9;
}

typedef struct { RTCScene scene; const Ray *rays; const Hit *hits; uint32_t from, to; int any; long bad; } Part;

static void *trace(void *arg) {
	Part *p = arg;
	struct RTCIntersectContext ctx;
	rtcInitIntersectContext(&ctx);
	long bad = 0;
	for (uint32_t i = p->from; i < p->to; i++) {
		const Ray *r = &p->rays[i];
		struct RTCRayHit q = {{r->o[0], r->o[1], r->o[2], r->tmin, r->d[0], r->d[1], r->d[2], 0, r->tmax, -1, 0, 0}, {0}};
		q.hit.geomID = RTC_INVALID_GEOMETRY_ID;
		if (p->any) {
			rtcOccluded1(p->scene, &ctx, &q.ray);
			bad += (q.ray.tfar < 0) != (p->hits[i].prim != UINT32_MAX);
		} else {
			rtcIntersect1(p->scene, &ctx, &q);
			int miss = q.hit.geomID == RTC_INVALID_GEOMETRY_ID;
			bad += miss != (p->hits[i].prim == UINT32_MAX) || (!miss && fabsf(q.ray.tfar - p->hits[i].t) > 1e-4f * p->hits[i].t + 1e-5f);
		}
	}
	p->bad = bad;
	return 0;
}

int main(int argc, char **argv) {
	if (argc != 4) { fprintf(stderr, "usage: embree FOLDER ROUNDS THREADS\n"); return 2; }
	int threads = atoi(argv[3]);
	if (threads < 1 || threads > 64) { fprintf(stderr, "1 to 64 threads\n"); return 2; }
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
			for (int r = 0; r < atoi(argv[2]); r++) {
				Part parts[64];
				pthread_t id[64];
				double a = now();
				for (int t = 0; t < threads; t++) {
					parts[t] = (Part){scenes[s], rays, hits, (uint64_t)n * t / threads, (uint64_t)n * (t + 1) / threads, k == 3, 0};
					if (t > 0) pthread_create(&id[t], 0, trace, &parts[t]);
				}
				trace(&parts[0]);
				long bad = parts[0].bad;
				for (int t = 1; t < threads; t++) {
					pthread_join(id[t], 0);
					bad += parts[t].bad;
				}
				printf("%s embree%s %.3f Mray/s, %ld of %u answers differ from ours\n", sets[k], s ? "-robust" : "", (double)n * threads / (now() - a) / 1e6, bad, n);
			}
		}
	}
	return 0;
}
