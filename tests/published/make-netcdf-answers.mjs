// Makes netcdf-answers.json: what GDAL's netCDF driver (gdal-bin; libnetcdf inside) says of the open netCDF files in
// ../shared/open-data, at 60 points of each gridded variable and 20 samples of each sounding's. Run it after changing
// what is asked: node tests/published/make-netcdf-answers.mjs
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const data = join(here, '../../../shared/open-data');
const run = (args) =>
  execFileSync('gdalmdiminfo', args, { encoding: 'utf8', maxBuffer: 2 ** 30, stdio: ['ignore', 'pipe', 'ignore'] });

// Park and Miller's generator: the same choice of points at every run.
let state = 20260302;
const pick = (n) => Math.floor(((state = (state * 16807) % 2147483647) / 2147483647) * n);

/** Shape and flat values of a variable, as GDAL reads them: stored numbers, before scale and offset. */
function array(file, name) {
  const text = run(['-detailed', '-array', name, join(data, file)]).replaceAll(/\bnan\b/g, 'null');
  const { values, dimension_size } = JSON.parse(text);
  return { shape: dimension_size, values: values.flat(Infinity) };
}

const GRIDDED = {
  'netcdf/gfs-20101026-12z-conus-netcdf4-deflate.nc': [
    'u-component_of_wind_isobaric',
    'v-component_of_wind_isobaric',
    'Geopotential_height_isobaric',
    'Temperature_isobaric',
  ],
  'netcdf/gfs-20101026-12z-crop-classic.nc': [
    'u-component_of_wind_isobaric',
    'v-component_of_wind_isobaric',
    'Geopotential_height_isobaric',
    'Temperature_isobaric',
  ],
  'netcdf/gfs-20110115-12z-northamerica-classic-lat-ascending.nc': ['ua', 'va', 'zg', 'ta'],
};
const AXES = { 'netcdf/gfs-20110115-12z-northamerica-classic-lat-ascending.nc': ['plev', 'lat', 'lon'] };
const SOUNDINGS = [
  'soundings/arm-darwin-20060122-2326z-35km.nc',
  'soundings/arm-sgp-lamont-20190101-0532z-24km-jet.nc',
];

function gridded(file) {
  const names = GRIDDED[file];
  const arrays = names.map((name) => array(file, name));
  const [level, lat, lon] = (AXES[file] ?? ['isobaric3', 'lat', 'lon']).map((name) => array(file, name).values);
  const [, levels, lats, lons] = arrays[0].shape;
  const points = Array.from({ length: 60 }, () => {
    const [k, j, i] = [pick(levels), pick(lats), pick(lons)];
    return [level[k], lat[j], lon[i], ...arrays.map(({ values }) => values[(k * lats + j) * lons + i])];
  });
  return { file, shape: arrays[0].shape, columns: ['level', 'lat', 'lon', 'u', 'v', 'height', 'temperature'], points };
}

function sounding(file) {
  const names = ['alt', 'pres', 'deg', 'wspd', 'tdry', 'dp'];
  const arrays = names.map((name) => array(file, name).values);
  const samples = arrays[0].length;
  const chosen = [0, samples - 1, ...Array.from({ length: 18 }, () => pick(samples))];
  return {
    file,
    samples,
    columns: ['index', ...names],
    points: chosen.map((k) => [k, ...arrays.map((values) => values[k])]),
  };
}

const answers = {
  madeWith: execFileSync('gdalmdiminfo', ['--version'], { encoding: 'utf8' }).trim(),
  gridded: Object.keys(GRIDDED).map(gridded),
  soundings: SOUNDINGS.map(sounding),
};
const text = JSON.stringify(answers).replaceAll('{"file"', '\n{"file"');
writeFileSync(join(here, 'netcdf-answers.json'), `${text}\n`);
console.log(`${text.length} bytes`);
