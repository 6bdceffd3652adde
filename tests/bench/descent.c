/* The descent of MODEL.md as a plain C program: what the ensemble of this project is measured against. Same model, same draws, same
 * inputs; classical Runge-Kutta at a fixed 1 s (0.1 s while the canopy fills), everything computed where it is needed.
 *
 *   descent SCENARIO TERRAIN MEMBERS [LANDINGS]
 *
 * SCENARIO  numbers as text, in the order in which `read_scenario` asks for them (written by flat.ts); TERRAIN  float32, row by row
 * Prints    microseconds a member, wall time and processor time, reading excluded. LANDINGS: longitude, latitude (degrees) and seconds as doubles
 * Built by  gcc -O3 -o descent descent.c -lm
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define RAD (M_PI / 180)
#define R_AIR 287.05287
#define G0 9.80665
#define RHO0 1.225
#define A 6378137.0
#define F (1 / 298.257223563)
#define E2 (F * (2 - F))
#define OMEGA 7.292115e-5
#define STEP_S 1.0
#define FILL_STEP_S 0.1
#define LOG_LAYER 10.0
#define FADE 5000.0

enum { AGL = 1, MSL = 2, AFTER = 3, MACH = 4 };
enum { DRIFT = 0, HOLD = 1 };

typedef struct { double area; int trigger; double at; int knots; double *mach, *factor; } stage;

static struct {
  double lat, lon, height, time; int windborne; double velocity[3];
  int levels; double *z, *T, *Tv, *lnp;
  int times, heights; double *when, *bottom, *h, *u, *v;
  int nodes; double *node, *mean_u, *mean_v, *factor;
  double spread[9];
  double mass; int stages; stage *stage;
  double ref_mass, airspeed, sink, fill, exponent, area; int policy; double heading;
  double site, roughness; int columns, rows; double west, north, step_lon, step_lat, top; float *ground;
  int32_t seed;
} in;

/* ---- random numbers: sfc32, seeded by splitmix32; normals by Marsaglia's polar method ---- */

static uint32_t s0, s1, s2, s3; static double spare; static int has_spare;

static int32_t splitmix(int32_t state) {
  uint32_t z = (uint32_t)state + 0x9e3779b9u;
  z = (z ^ (z >> 16)) * 0x21f0aaadu;
  z = (z ^ (z >> 15)) * 0x735a2d97u;
  return (int32_t)(z ^ (z >> 15));
}
static uint32_t next32(void) {
  uint32_t t = s0 + s1 + s3;
  s0 = s1 ^ (s1 >> 9); s1 = s2 + (s2 << 3); s2 = ((s2 << 21) | (s2 >> 11)) + t; s3 += 1;
  return t;
}
static void seed_stream(int32_t seed, int32_t stream) {
  int32_t a = splitmix(seed), b = splitmix(a ^ (int32_t)((uint32_t)stream * 0x85ebca6bu));
  s0 = (uint32_t)a; s1 = (uint32_t)b; s2 = (uint32_t)splitmix(b ^ stream); s3 = 1; has_spare = 0;
  for (int i = 0; i < 12; i++) next32();
}
static double uniform(void) { return (next32() + 0.5) / 4294967296.0; }
static double normal(void) {
  if (has_spare) { has_spare = 0; return spare; }
  for (;;) {
    double x = 2 * uniform() - 1, y = 2 * uniform() - 1, r = x * x + y * y;
    if (r >= 1 || r == 0) continue;
    double k = sqrt(-2 * log(r) / r);
    spare = y * k; has_spare = 1;
    return x * k;
  }
}
static double normal_cut(void) { for (;;) { double x = normal(); if (x > -3 && x < 3) return x; } }

/* ---- air: the standard's layers, and a sounding joined to them ---- */

static const double BASE[7] = {0, 11000, 20000, 32000, 47000, 51000, 71000};
static const double LAPSE[7] = {-0.0065, 0, 0.001, 0.0028, 0, -0.0028, -0.002};
static double base_T[7], base_p[7];

static double layer_pressure(int i, double H) {
  double d = H - BASE[i];
  if (LAPSE[i] == 0) return base_p[i] * exp(-G0 * d / (R_AIR * base_T[i]));
  return base_p[i] * pow(1 + LAPSE[i] * d / base_T[i], -G0 / (R_AIR * LAPSE[i]));
}
static void make_layers(void) {
  base_T[0] = 288.15; base_p[0] = 101325;
  for (int i = 1; i < 7; i++) {
    base_p[i] = layer_pressure(i - 1, BASE[i]);
    base_T[i] = base_T[i - 1] + LAPSE[i - 1] * (BASE[i] - BASE[i - 1]);
  }
}
static void standard(double z, double *T, double *p) {
  double H = 6356766.0 * z / (6356766.0 + z);
  int i = 0;
  while (i < 6 && H >= BASE[i + 1]) i++;
  *T = base_T[i] + LAPSE[i] * (H - BASE[i]);
  *p = layer_pressure(i, H);
}
static double joint_T[2], joint_lnp[2];

/* Density, and the speed of sound where it is asked for. */
static double air(double z, int *hint, double *sound) {
  int n = in.levels;
  double T, Tv, p;
  if (n < 2) { standard(z, &T, &p); Tv = T; }
  else if (z > in.z[0] && z < in.z[n - 1]) {
    int k = *hint;
    while (k > 0 && z < in.z[k]) k--;
    while (k < n - 2 && z >= in.z[k + 1]) k++;
    *hint = k;
    double f = (z - in.z[k]) / (in.z[k + 1] - in.z[k]);
    T = in.T[k] + f * (in.T[k + 1] - in.T[k]);
    Tv = in.Tv[k] + f * (in.Tv[k + 1] - in.Tv[k]);
    p = exp(in.lnp[k] + f * (in.lnp[k + 1] - in.lnp[k]));
  } else {
    int top = z > in.z[0], edge = top ? n - 1 : 0;
    double fade = 1 - fabs(z - in.z[edge]) / FADE;
    if (fade < 0) fade = 0;
    standard(z, &T, &p);
    T += fade * (in.T[edge] - joint_T[top]);
    p *= exp(fade * (in.lnp[edge] - joint_lnp[top]));
    Tv = T + fade * (in.Tv[edge] - in.T[edge]);
  }
  if (sound != NULL) *sound = sqrt(1.4 * R_AIR * T);
  return p / (R_AIR * Tv);
}

/* ---- ground and wind ---- */

static double ground(double lat, double lon) {
  if (in.columns < 2) return in.site;
  double x = (lon / RAD - in.west) / in.step_lon, y = (in.north - lat / RAD) / in.step_lat;
  if (!(x >= 0 && y >= 0 && x <= in.columns - 1 && y <= in.rows - 1)) return in.site;
  int i = (int)x, j = (int)y;
  if (i > in.columns - 2) i = in.columns - 2;
  if (j > in.rows - 2) j = in.rows - 2;
  double fx = x - i, fy = y - j;
  const float *g = in.ground + (size_t)j * in.columns + i;
  double h = (g[0] * (1 - fx) + g[1] * fx) * (1 - fy) + (g[in.columns] * (1 - fx) + g[in.columns + 1] * fx) * fy;
  return h == h ? h : in.site;
}

typedef struct { double start; int surface_given; int level, node, air; double *eu, *ev; } member;

static void wind(member *m, double lat, double lon, double h, double t, double *u, double *v) {
  int n = in.heights, k = m->level;
  double f = 0;
  if (n > 1) {
    while (k > 0 && h < in.h[k]) k--;
    while (k < n - 2 && h >= in.h[k + 1]) k++;
    m->level = k;
    f = h <= in.h[k] ? 0 : h >= in.h[k + 1] ? 1 : (h - in.h[k]) / (in.h[k + 1] - in.h[k]);
  }
  int next = n > 1 ? 1 : 0, i = 0;
  double now = t + m->start, g = 0;
  while (i < in.times - 2 && now >= in.when[i + 1]) i++;
  if (in.times > 1) g = now <= in.when[i] ? 0 : now >= in.when[i + 1] ? 1 : (now - in.when[i]) / (in.when[i + 1] - in.when[i]);
  const double *ua = in.u + i * n + k, *va = in.v + i * n + k;
  *u = ua[0] + f * (ua[next] - ua[0]);
  *v = va[0] + f * (va[next] - va[0]);
  if (g > 0) {
    const double *ub = ua + n, *vb = va + n;
    *u += g * (ub[0] + f * (ub[next] - ub[0]) - *u);
    *v += g * (vb[0] + f * (vb[next] - vb[0]) - *v);
  }
  int o = m->node, last = in.nodes - 2;
  if (last >= 0) {
    while (o > 0 && h < in.node[o]) o--;
    while (o < last && h >= in.node[o + 1]) o++;
    m->node = o;
    f = h <= in.node[o] ? 0 : h >= in.node[o + 1] ? 1 : (h - in.node[o]) / (in.node[o + 1] - in.node[o]);
    *u += m->eu[o] + f * (m->eu[o + 1] - m->eu[o]);
    *v += m->ev[o] + f * (m->ev[o + 1] - m->ev[o]);
  }
  if (!m->surface_given && h <= in.top + LOG_LAYER) {
    double agl = h - ground(lat, lon);
    if (agl < LOG_LAYER) {
      double left = agl > in.roughness ? log(agl / in.roughness) / log(LOG_LAYER / in.roughness) : 0;
      *u *= left;
      *v *= left;
    }
  }
}

/* ---- the falling body ---- */

typedef struct { double mass, area, full, fill_start, fill, exponent; const stage *st; double scale; double drag; } body;

static double area_at(const body *b, double t, double mach) {
  if (b->fill > 0) {
    double x = (t - b->fill_start) / b->fill;
    if (x > 1) x = 1;
    if (x < 0) x = 0;
    return b->area + (b->full - b->area) * (b->exponent == 2 ? x * x : pow(x, b->exponent));
  }
  const stage *s = b->st;
  if (s == NULL || s->knots == 0) return b->area;
  int i = 0;
  while (i < s->knots - 1 && mach > s->mach[i + 1]) i++;
  if (i >= s->knots - 1 || mach <= s->mach[i]) return b->area * s->factor[i];
  return b->area * (s->factor[i] + (s->factor[i + 1] - s->factor[i]) * (mach - s->mach[i]) / (s->mach[i + 1] - s->mach[i]));
}

static double gravity(double s2, double h) {
  double g = 9.7803253359 * (1 + 0.00193185265246 * s2) / sqrt(1 - E2 * s2), q = h / A;
  return g * (1 - 2 * (1 + F + 0.00344978650684 - 2 * F * s2) * q + 3 * q * q);
}

static double airspeed(member *m, const double *y, double t) {
  double u, v;
  wind(m, y[0], y[1], y[2], t, &u, &v);
  return sqrt((y[3] - u) * (y[3] - u) + (y[4] - v) * (y[4] - v) + y[5] * y[5]);
}

static void slope(member *m, body *b, double t, const double *y, double *out) {
  double u, v, c = 0, s = sin(y[0]), co = cos(y[0]), s2 = s * s, h = y[2], vE = y[3], vN = y[4], vU = y[5];
  wind(m, y[0], y[1], h, t, &u, &v);
  double aE = vE - u, aN = vN - v, speed = sqrt(aE * aE + aN * aN + vU * vU);
  int curved = b->fill == 0 && b->st != NULL && b->st->knots > 0;
  double rho = air(h, &m->air, curved ? &c : NULL);
  double drag = -0.5 * rho * area_at(b, t, curved ? speed / c : 0) * speed / b->mass;
  double w2 = 1 - E2 * s2, n = A / sqrt(w2), N = n + h, M = n * (1 - E2) / w2 + h;
  b->drag = -drag * speed;
  out[0] = vN / M;
  out[1] = vE / (N * co);
  out[2] = vU;
  out[3] = drag * aE + 2 * OMEGA * (vN * s - vU * co) + vE * vN * s / (co * N) - vE * vU / N;
  out[4] = drag * aN - 2 * OMEGA * vE * s - vE * vE * s / (co * N) - vN * vU / M;
  out[5] = drag * vU - gravity(s2, h) + 2 * OMEGA * vE * co + vE * vE / N + vN * vN / M;
}

static void fall_step(member *m, body *b, double t, const double *y, double dt, double *out) {
  double k1[6], k2[6], k3[6], k4[6], z[6];
  slope(m, b, t, y, k1);
  for (int i = 0; i < 6; i++) z[i] = y[i] + dt / 2 * k1[i];
  slope(m, b, t + dt / 2, z, k2);
  for (int i = 0; i < 6; i++) z[i] = y[i] + dt / 2 * k2[i];
  slope(m, b, t + dt / 2, z, k3);
  for (int i = 0; i < 6; i++) z[i] = y[i] + dt * k3[i];
  slope(m, b, t + dt, z, k4);
  for (int i = 0; i < 6; i++) out[i] = y[i] + dt / 6 * (k1[i] + 2 * (k2[i] + k3[i]) + k4[i]);
}

static double mach_now(member *m, const double *y, double t) {
  double c;
  air(y[2], &m->air, &c);
  return airspeed(m, y, t) / c;
}
static double trigger(member *m, int kind, double at, const double *y, double t) {
  switch (kind) {
    case AGL: return y[2] - ground(y[0], y[1]) - at;
    case MSL: return y[2] - at;
    case AFTER: return at - t;
    case MACH: return mach_now(m, y, t) - at;
  }
  return 1;
}

/* Falls until the trigger; a step that passes it is taken again, shorter, by the secant rule. 0 where the ground came first. */
static int fall(member *m, body *b, int kind, double at, double *t, double *y) {
  double z[6], before = trigger(m, kind, at, y, *t);
  if (kind != MACH && before <= 0) return 1;
  while (*t < 21600) {
    double dt = STEP_S;
    if (kind == AFTER && at - *t < dt) dt = at - *t;
    fall_step(m, b, *t, y, dt, z);
    double after = trigger(m, kind, at, z, *t + dt);
    if (kind != AFTER && before > 0 && after <= 0) {
      double low = 0, high = dt, g_low = before, g_high = after;
      for (int i = 0; i < 60 && fabs(g_high) > 1e-4 && high - low > 1e-12; i++) {
        double d = low + (high - low) * g_low / (g_low - g_high);
        fall_step(m, b, *t, y, d, z);
        double g = trigger(m, kind, at, z, *t + d);
        if (g > 0) { low = d; g_low = g; g_high /= 2; if (g <= 1e-4) { high = d; break; } }
        else { high = d; g_high = g; g_low /= 2; }
      }
      fall_step(m, b, *t, y, high, z);
      memcpy(y, z, sizeof z);
      *t += high;
      return 1;
    }
    memcpy(y, z, sizeof z);
    *t += dt;
    if (y[2] <= in.top && y[2] <= ground(y[0], y[1])) return 0;
    if (kind == AFTER && *t >= at - 1e-9) return 1;
    before = after;
  }
  return 0;
}

/* ---- the open canopy: d(lat, lon, h)/dt ---- */

typedef struct { double speed_scale, airspeed, sink, heading; int policy; } wing;

static void glide_slope(member *m, const wing *w, double t, const double *y, double *out) {
  double u, v, s = sin(y[0]), co = cos(y[0]), h = y[2];
  wind(m, y[0], y[1], h, t, &u, &v);
  double k = w->speed_scale / sqrt(air(h, &m->air, NULL));
  if (w->policy == HOLD) {
    u += w->airspeed * k * sin(w->heading);
    v += w->airspeed * k * cos(w->heading);
  }
  double w2 = 1 - E2 * s * s, n = A / sqrt(w2);
  out[0] = v / (n * (1 - E2) / w2 + h);
  out[1] = u / ((n + h) * co);
  out[2] = -w->sink * k;
}

static void glide_step(member *m, const wing *w, double t, const double *y, double dt, double *out) {
  double k1[3], k2[3], k3[3], k4[3], z[3];
  glide_slope(m, w, t, y, k1);
  for (int i = 0; i < 3; i++) z[i] = y[i] + dt / 2 * k1[i];
  glide_slope(m, w, t + dt / 2, z, k2);
  for (int i = 0; i < 3; i++) z[i] = y[i] + dt / 2 * k2[i];
  glide_slope(m, w, t + dt / 2, z, k3);
  for (int i = 0; i < 3; i++) z[i] = y[i] + dt * k3[i];
  glide_slope(m, w, t + dt, z, k4);
  for (int i = 0; i < 3; i++) out[i] = y[i] + dt / 6 * (k1[i] + 2 * (k2[i] + k3[i]) + k4[i]);
}

static void glide(member *m, const wing *w, double *t, double *y) {
  double z[3], agl = y[2] - ground(y[0], y[1]);
  for (int n = 0; n < 100000 && agl > 1e-4; n++) {
    double dt = STEP_S;
    glide_step(m, w, *t, y, dt, z);
    double below = z[2] - ground(z[0], z[1]);
    for (int i = 0; i < 40 && below < -1e-4; i++) {
      dt *= agl / (agl - below);
      glide_step(m, w, *t, y, dt, z);
      below = z[2] - ground(z[0], z[1]);
    }
    memcpy(y, z, sizeof z);
    *t += dt;
    agl = below;
  }
}

/* ---- one member ---- */

static double scale_of(double x) { return 1 + x > 0.2 ? 1 + x : 0.2; }

static void draw_wind(const double *mean, double *normals, double *out) {
  int n = in.nodes;
  for (int i = 0; i < n; i++) normals[i] = normal();
  for (int i = 0; i < n; i++) {
    double sum = mean[i];
    const double *row = in.factor + (size_t)i * n;
    for (int j = 0; j <= i; j++) sum += row[j] * normals[j];
    out[i] = sum;
  }
}

static void fly(int number, double *eu, double *ev, double *normals, double *landing) {
  seed_stream(in.seed, number);
  const double *sp = in.spread;
  double d_mass = sp[0] * normal_cut(), drag = scale_of(sp[1] * normal_cut()), sink = scale_of(sp[2] * normal_cut()),
         speed = scale_of(sp[3] * normal_cut()), d_fill = sp[4] * normal_cut(), east = sp[5] * normal_cut(), north = sp[5] * normal_cut(),
         d_time = sp[6] * normal_cut(), d_height = sp[7] * normal_cut(), turn = sp[8] * normal_cut() * RAD;
  /* Two draws that only a canopy that homes needs. */
  normal_cut(); normal_cut();
  draw_wind(in.mean_u, normals, eu);
  draw_wind(in.mean_v, normals, ev);
  member m = {in.time + d_time, 0, in.heights - 2, in.nodes - 2, in.levels - 2, eu, ev};
  if (m.level < 0) m.level = 0;
  if (m.node < 0) m.node = 0;
  if (m.air < 0) m.air = 0;
  double bottom = -INFINITY;
  for (int i = 0; i < in.times; i++) {
    double before = i > 0 ? in.when[i - 1] : -INFINITY, after = i + 1 < in.times ? in.when[i + 1] : INFINITY;
    if (m.start > before && m.start < after && in.bottom[i] > bottom) bottom = in.bottom[i];
  }
  m.surface_given = bottom <= in.site + LOG_LAYER;
  double t = 0, y[6] = {in.lat + north / 6371009.0, in.lon + east / (6371009.0 * cos(in.lat)), in.height};
  if (in.windborne) wind(&m, y[0], y[1], y[2], 0, &y[3], &y[4]);
  else memcpy(y + 3, in.velocity, sizeof in.velocity);
  body b = {in.mass + d_mass, 0, 0, 0, 0, in.exponent, NULL, 1, 0};
  for (int i = 0; i < in.stages; i++) {
    const stage *s = in.stage + i;
    b.area = s->area * drag;
    b.st = s;
    if (!fall(&m, &b, s->trigger, s->trigger == AGL || s->trigger == MSL ? s->at + d_height : s->at, &t, y)) {
      landing[0] = landing[1] = landing[2] = NAN;
      return;
    }
  }
  b.area = area_at(&b, t, b.st != NULL && b.st->knots > 0 ? mach_now(&m, y, t) : 0);
  b.full = in.area / (sink * sink);
  b.fill_start = t;
  b.fill = in.fill + d_fill > 0 ? in.fill + d_fill : 0;
  double shock = 0, end = t + b.fill, z[6];
  while (t < end - 1e-9) {
    double dt = end - t < FILL_STEP_S ? end - t : FILL_STEP_S;
    fall_step(&m, &b, t, y, dt, z);
    memcpy(y, z, sizeof z);
    t += dt;
    if (b.drag > shock) shock = b.drag;
  }
  wing w = {sqrt(RHO0 * b.mass / in.ref_mass), in.airspeed * speed, in.sink * sink, in.heading + turn, in.policy};
  glide(&m, &w, &t, y);
  landing[0] = y[1] / RAD;
  landing[1] = y[0] / RAD;
  landing[2] = t + d_time;
}

/* ---- reading ---- */

static double number(FILE *f) {
  double x;
  if (fscanf(f, "%lf", &x) != 1) { fprintf(stderr, "descent: the scenario ends too early\n"); exit(2); }
  return x;
}
static double *numbers(FILE *f, int n) {
  double *x = malloc(sizeof *x * (size_t)(n > 0 ? n : 1));
  for (int i = 0; i < n; i++) x[i] = number(f);
  return x;
}

static void read_scenario(FILE *f) {
  in.seed = (int32_t)number(f);
  in.lon = number(f) * RAD; in.lat = number(f) * RAD; in.height = number(f); in.time = number(f);
  in.windborne = (int)number(f);
  for (int i = 0; i < 3; i++) in.velocity[i] = number(f);
  in.levels = (int)number(f);
  in.z = numbers(f, in.levels); in.T = numbers(f, in.levels); in.Tv = numbers(f, in.levels); in.lnp = numbers(f, in.levels);
  in.times = (int)number(f); in.heights = (int)number(f);
  in.when = numbers(f, in.times); in.bottom = numbers(f, in.times); in.h = numbers(f, in.heights);
  in.u = numbers(f, in.times * in.heights); in.v = numbers(f, in.times * in.heights);
  in.nodes = (int)number(f);
  in.node = numbers(f, in.nodes); in.mean_u = numbers(f, in.nodes); in.mean_v = numbers(f, in.nodes);
  in.factor = numbers(f, in.nodes * in.nodes);
  for (int i = 0; i < 9; i++) in.spread[i] = number(f);
  in.mass = number(f);
  in.stages = (int)number(f);
  in.stage = calloc((size_t)in.stages + 1, sizeof *in.stage);
  for (int i = 0; i < in.stages; i++) {
    stage *s = in.stage + i;
    s->area = number(f); s->trigger = (int)number(f); s->at = number(f); s->knots = (int)number(f);
    s->mach = numbers(f, s->knots); s->factor = numbers(f, s->knots);
  }
  in.ref_mass = number(f); in.airspeed = number(f); in.sink = number(f); in.fill = number(f); in.exponent = number(f); in.area = number(f);
  in.policy = (int)number(f); in.heading = number(f);
  in.site = number(f); in.roughness = number(f); in.top = number(f);
  in.columns = (int)number(f); in.rows = (int)number(f);
  in.west = number(f); in.north = number(f); in.step_lon = number(f); in.step_lat = number(f);
}

static double microseconds(struct timespec a, struct timespec b) {
  return (double)(b.tv_sec - a.tv_sec) * 1e6 + (double)(b.tv_nsec - a.tv_nsec) / 1e3;
}

int main(int argc, char **argv) {
  if (argc < 4) { fprintf(stderr, "usage: descent SCENARIO TERRAIN MEMBERS [LANDINGS]\n"); return 2; }
  FILE *f = fopen(argv[1], "r");
  if (f == NULL) { perror(argv[1]); return 2; }
  read_scenario(f);
  fclose(f);
  size_t cells = (size_t)in.columns * (size_t)in.rows;
  if (cells > 0) {
    in.ground = malloc(cells * sizeof *in.ground);
    f = fopen(argv[2], "rb");
    if (f == NULL || fread(in.ground, sizeof *in.ground, cells, f) != cells) { perror(argv[2]); return 2; }
    fclose(f);
  }
  make_layers();
  if (in.levels >= 2)
    for (int i = 0; i < 2; i++) {
      double p;
      standard(in.z[i * (in.levels - 1)], &joint_T[i], &p);
      joint_lnp[i] = log(p);
    }
  int members = atoi(argv[3]);
  double *eu = malloc(sizeof *eu * (size_t)in.nodes), *ev = malloc(sizeof *ev * (size_t)in.nodes),
         *normals = malloc(sizeof *normals * (size_t)in.nodes), *landings = malloc(sizeof *landings * 3 * (size_t)members);
  struct timespec a, b, c, d;
  clock_gettime(CLOCK_MONOTONIC, &a);
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &c);
  for (int i = 0; i < members; i++) fly(i, eu, ev, normals, landings + 3 * i);
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &d);
  clock_gettime(CLOCK_MONOTONIC, &b);
  printf("%.4f %.4f\n", microseconds(a, b) / members, microseconds(c, d) / members);
  if (argc > 4) {
    f = fopen(argv[4], "wb");
    if (f == NULL || fwrite(landings, sizeof *landings, 3 * (size_t)members, f) != 3 * (size_t)members) { perror(argv[4]); return 2; }
    fclose(f);
  }
  return 0;
}
