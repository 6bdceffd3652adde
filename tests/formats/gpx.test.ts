// GPX and KML tracks, and the XML reader beneath them: open files, the drop against the dropsonde's samples, hostile
// XML. Sources: open-data/tracks (MANIFEST.md), the GPX 1.1 schema, KML 2.2 with the gx extension, XML 1.0 §4.6.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gpx as packageGpx, kml as packageKml } from '@tmcw/togeojson';
import { DOMParser } from '@xmldom/xmldom';
import { describe, expect, it } from 'vitest';
import { readGpx } from '../../core/formats/tracks/gpx.ts';
import { readKmlTracks } from '../../core/formats/tracks/kml.ts';
import { Findings } from '../../core/formats/text/text.ts';
import { readTrack } from '../../core/formats/tracks/track.ts';
import type { Fix } from '../../core/formats/tracks/track.ts';
import { elementsNamed, readXml } from '../../core/formats/text/xml.ts';
import { describeOpenData } from '../openData.ts';
import { hostileXml } from './hostileXml.ts';
import { itSurvives } from './mutate.ts';

const gpx = (inside: string): string => `<gpx version="1.1"><trk><trkseg>${inside}</trkseg></trk></gpx>`;
const said = (problems: readonly { text: string }[]): string => problems.map((p) => p.text).join('; ');

describe('XML', () => {
  it('reads elements, both quotes, character references, CDATA and comments', () => {
    const findings = new Findings();
    const root = readXml(
      `<?xml version="1.0"?><!-- <a> --><a x='1 > 0' y="&lt;&#65;&#x42;&amp;"><b>t&gt;<![CDATA[<&]]></b><c/></a>`,
      findings,
    );
    const [a] = elementsNamed(root, 'a');
    expect([...(a?.attributes ?? [])]).toEqual([
      ['x', '1 > 0'],
      ['y', '<AB&'],
    ]);
    expect(a?.children.map((c) => [c.name, c.text])).toEqual([
      ['b', 't><&'],
      ['c', ''],
    ]);
    expect(findings.all()).toEqual([]);
  });

  it('expands no entity of a document type, reads no other file, and bounds the depth', () => {
    const bomb = `<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;"><!ENTITY f SYSTEM "file:///etc/passwd">]><x>&b;&f;</x>`;
    expect(elementsNamed(readXml(bomb, new Findings()), 'x')[0]?.text).toBe('&b;&f;');
    const findings = new Findings();
    readXml('<a>'.repeat(50_000), findings);
    expect(said(findings.all())).toContain('more than 100 elements deep');
  });

  it('comes to an end, whatever the text, with a few findings and not one a piece (time in proportion: npm run bench)', () => {
    for (const text of hostileXml(60_000)) {
      const findings = new Findings();
      expect(readXml(text, findings).name).toBe('');
      expect(findings.all().length, text.slice(0, 20)).toBeLessThan(30);
    }
  });

  it('says where a file is cut off and keeps what stands before', () => {
    const { value, problems } = readGpx(
      '<gpx><trk><trkseg>\n<trkpt lat="1" lon="2"><ele>3</ele></trkpt>\n<trkpt lat="1" lo',
    );
    expect(value[0]?.fixes.map((f) => [f.position, f.height_m])).toEqual([[[2, 1], 3]]);
    expect(problems.find((p) => p.text.includes('has no ">"'))?.line).toBe(3);
  });
});

describe('GPX and KML, the rules', () => {
  it('leaves out points without a place, and invalid heights and times', () => {
    const { value, problems } = readGpx(
      gpx(
        '<trkpt lat="91" lon="0"/><trkpt lon="0"/><trkpt lat="1" lon="2"><ele>high</ele><time>noon</time></trkpt>' +
          '<trkpt lat="1" lon="2"><ele></ele></trkpt>',
      ),
    );
    expect(value[0]?.fixes).toEqual([
      { time_s: null, position: [2, 1], height_m: null, valid: true },
      { time_s: null, position: [2, 1], height_m: null, valid: true },
    ]);
    expect(said(problems)).toMatch(/lat "91".*<ele> "high".*<time> "noon"/);
  });

  it('takes times with and without a zone as UTC', () => {
    const at = (time: string): number | null | undefined =>
      readGpx(gpx(`<trkpt lat="1" lon="2"><time>${time}</time></trkpt>`)).value[0]?.fixes[0]?.time_s;
    expect(at('2016-05-27T10:08:47.8Z')).toBe(Date.UTC(2016, 4, 27, 10, 8, 47, 800) / 1000);
    expect(at('2016-05-27T10:08:47+02:00')).toBe(Date.UTC(2016, 4, 27, 8, 8, 47) / 1000);
    expect(at('2016-05-27T10:08:47')).toBe(Date.UTC(2016, 4, 27, 10, 8, 47) / 1000);
  });

  it('pairs the whens and coords of a gx:Track, also alternating, and says what is left over', () => {
    const { value, problems } = readKmlTracks(
      '<kml><Placemark><name>b</name><gx:Track><when>2010-05-28T02:02:09Z</when><gx:coord>1 2 3</gx:coord>' +
        '<when>2010-05-28T02:02:10Z</when><gx:coord/><when>2010-05-28T02:02:11Z</when></gx:Track></Placemark></kml>',
    );
    expect(value).toEqual([
      {
        name: 'b',
        fixes: [{ time_s: Date.UTC(2010, 4, 28, 2, 2, 9) / 1000, position: [1, 2], height_m: 3, valid: true }],
      },
    ]);
    expect(said(problems)).toContain('3 times for 2 places');
    const ground = readKmlTracks(
      '<kml><LineString><altitudeMode>relativeToGround</altitudeMode><coordinates>1,2,3 4,5,6</coordinates></LineString></kml>',
    );
    expect(ground.value[0]?.fixes.map((f) => f.height_m)).toEqual([null, null]);
    expect(said(ground.problems)).toContain('not above the sea');
  });

  it('refuses what has no track with a sentence', () => {
    expect(said(readGpx('<gpx><wpt lat="1" lon="2"/></gpx>').problems)).toMatch(
      /1 waypoints without a time.*no track here/,
    );
    expect(said(readKmlTracks('<kml></kml>').problems)).toContain('no track here');
    expect(said(readTrack('x', new Uint8Array([1, 2, 3]), {}).problems)).toContain('no track that is known here');
    expect(said(readTrack('x', new Uint8Array(0), {}).problems)).toContain('no track that is known here');
  });
});

// It keeps 91° of latitude, says nothing of the point that it drops, and loses the difference between two heights.
it('npm @tmcw/togeojson 7.1.3 passes over what our readers say: why it is not used', () => {
  // It asks for a browser's document; xmldom's has what it uses.
  const parsed = (text: string): Document => new DOMParser().parseFromString(text, 'text/xml') as unknown as Document;
  const geometryOf = (read: ReturnType<typeof packageKml>): unknown => read.features[0]?.geometry;
  const points = '<trkpt lat="91" lon="0"/><trkpt lon="0"/><trkpt lat="1" lon="2"/>';
  expect(geometryOf(packageGpx(parsed(gpx(points))))).toMatchObject({ coordinates: [[0, 91], [2, 1]] }); // prettier-ignore
  const line =
    '<LineString><altitudeMode>relativeToGround</altitudeMode><coordinates>1,2,3 4,5,6</coordinates></LineString>';
  const feature = packageKml(parsed(`<kml><Placemark>${line}</Placemark></kml>`)).features[0];
  expect(feature?.geometry).toMatchObject({ coordinates: [[1, 2, 3], [4, 5, 6]] }); // prettier-ignore
  expect(feature?.properties).toEqual({});
  const track =
    '<gx:Track><when>2010-05-28T02:02:09Z</when><gx:coord>1 2 3</gx:coord><when>2010-05-28T02:02:10Z</when><gx:coord/></gx:Track>';
  const timed = `<kml xmlns:gx="http://www.google.com/kml/ext/2.2"><Placemark>${track}</Placemark></kml>`;
  expect(geometryOf(packageKml(parsed(timed)))).toMatchObject({ coordinates: [[1, 2, 3], [NaN]] });
});

describeOpenData('GPX and KML, the open files', ({ openData }) => {
  const bytes = (name: string): Uint8Array => new Uint8Array(readFileSync(join(openData, 'tracks', name)));
  const text = (name: string): string => readFileSync(join(openData, 'tracks', name), 'utf8');

  it('gives the drop of 2020-01-17 as the dropsonde sampled it', () => {
    const { value } = readTrack('drop-p3-20200117-2s.gpx', bytes('drop-p3-20200117-2s.gpx'), {});
    const samples = readFileSync(join(openData, 'dropsondes', 'noaa-p3-20200117-143249.csv'), 'latin1')
      .split('\n')
      .slice(1)
      .map((row) => row.split(','))
      .filter((cells) => cells[7] !== '' && cells[7] !== undefined);
    let compared = 0;
    for (const fix of value[0]?.fixes ?? []) {
      // The GPX has whole seconds; the sample it was made from is the one within that second with the same place.
      const near = samples.filter((c) => Math.abs(Date.parse(c[0] ?? '') / 1000 - (fix.time_s ?? NaN)) <= 1.01);
      const same = near.some(
        (c) => Number(c[7]) === fix.position[1] && Number(c[8]) === fix.position[0] && Number(c[9]) === fix.height_m,
      );
      expect([fix.time_s, same]).toEqual([fix.time_s, true]);
      compared++;
    }
    expect(compared).toBe(283);
  });

  it('reads each file: as many fixes as points, within the bounds that the file itself gives', () => {
    for (const [name, tracks] of [
      ['bom.gpx', 1],
      ['drop-p3-20200117-2s.gpx', 1],
      ['empty-ele.gpx', 1],
      ['track-with-empty-segment.gpx', 1],
      ['walk-korita.gpx', 3],
      ['gxtrack.kml', 1],
    ] as const) {
      const { value, problems } = readTrack(name, bytes(name), {});
      const raw = text(name);
      const points = name === 'bom.gpx' ? 1 : [...raw.matchAll(/<(?:trkpt|gx:coord)[\s>]/g)].length;
      const fixes: Fix[] = value.flatMap((t) => [...t.fixes]);
      expect([name, value.length, fixes.length]).toEqual([name, tracks, points]);
      const heights = fixes.flatMap((f) => f.height_m ?? []);
      const span =
        heights.length === 0
          ? 'no heights'
          : `${Math.min(...heights).toFixed(0)} to ${Math.max(...heights).toFixed(0)} m`;
      console.log(
        [
          name,
          `${tracks} tracks, ${fixes.length} fixes, ${fixes.filter((f) => f.time_s === null).length} without time`,
          span,
        ].join(' | '),
        `| ${problems.length} problems`,
      );
    }
    const walk = readTrack('walk-korita.gpx', bytes('walk-korita.gpx'), {}).value.flatMap((t) => [...t.fixes]);
    const bounds = /minlat="([\d.]+)" minlon="([\d.]+)" maxlat="([\d.]+)" maxlon="([\d.]+)"/
      .exec(text('walk-korita.gpx'))
      ?.slice(1)
      .map(Number);
    const lats = walk.map((f) => f.position[1]);
    const lons = walk.map((f) => f.position[0]);
    expect([Math.min(...lats), Math.min(...lons), Math.max(...lats), Math.max(...lons)]).toEqual(bounds);
  });

  it('reads the gx:Track with its times', () => {
    const [track] = readTrack('gxtrack.kml', bytes('gxtrack.kml'), {}).value;
    expect(track?.fixes[0]).toEqual({
      time_s: Date.UTC(2010, 4, 28, 2, 2, 9) / 1000,
      position: [-122.207881, 37.371915],
      height_m: 156,
      valid: true,
    });
    expect(track?.fixes.at(-1)?.time_s).toBe(Date.UTC(2010, 4, 28, 2, 2, 56) / 1000);
  });

  itSurvives(
    'GPX',
    [text('walk-korita.gpx'), text('bom.gpx'), text('empty-ele.gpx'), text('track-with-empty-segment.gpx')],
    readGpx,
  );
  itSurvives('KML tracks', [text('gxtrack.kml')], readKmlTracks);
  itSurvives(
    'any track file',
    [
      text('gxtrack.kml'),
      text('bom.gpx'),
      text('gpsd-bt451.nmea'),
      text('paraglider-20241007-short.igc'),
      text('balloon-lamont-20190101.aprs'),
    ],
    (input) =>
      readTrack(
        'x',
        Uint8Array.from(input, (c) => c.charCodeAt(0) & 255),
        { reference_s: 1_700_000_000 },
      ),
  );
});
