// Whole inputs of our own that the readers understand; the broken inputs of `fuzz.ts` start from them.
import { nmeaChecksum } from '../../core/formats/tracks/nmea.ts';

export const CSV = `# source: tower\n# validTime: 2026-03-14T06:00:00Z\n# position: 141.6, -31.95\n# elevation_m: 183
height_agl_ft,from_deg,speed_kt,temperature_C,pressure_hPa\n33,090,4,21.5,993\n400,100,9,18,960\n9000,250,40,-3,700\n`;
export const SEMICOLONS =
  'validTime;height_m;u_mps;v_mps;dew_point_C\n2026-03-14T06:00Z;100,5;1,5;-2;4\n2026-03-14T09:00Z;200;3;0;1\n';
export const GEMPAK =
  'PRES,TEMP,DWPT,DRCT,SPED,HGHT\n1000.0,-9999.0,-9999.0,-9999.0,-9999.0,138.0\n985.0,20.0,13.0,150.0,3.09,270.0\n';
export const LISTING = `<H2>72681 BOI Boise Observations at 00Z 17 May 1980</H2>\n<PRE>
-----------------------------------------------------------------------------
   PRES   HGHT   TEMP   DWPT   RELH   MIXR   DRCT   SKNT   THTA   THTE   THTV
    hPa     m      C      C      %    g/kg    deg   knot     K      K      K
-----------------------------------------------------------------------------
 1000.0    125
  915.0    874   12.8    4.8     58   5.93    280     14  293.3  310.7  294.4
  320.1   8839  -41.4                         355     37  320.9         320.9
</PRE><H3>Station information and sounding indices</H3><PRE>
                           Observation time: 800517/0000
                           Station latitude: 43.56
                          Station longitude: -116.20
`;
export const TITLED = `%TITLE%\n OAX   140616/1900\n\n   LEVEL       HGHT       TEMP       DWPT       WDIR       WSPD
-------------------------------------------------------------------\n%RAW%
 1000.00,    34.00,  -9999.00,  -9999.00,  -9999.00,  -9999.00\n 965.00,    350.00,     27.80,     23.80,    150.00,     23.00\n%END%\n`;
export const IGRA = `#USM00072501 1994 09 03 00 2314    3 ncdc6301 ncdc6301  408656  -728647
21     0 100900B   61B  228B-9999   180   290    31 \n10  9235   1000A31450B -339B-9999 -9999    70    87 
30 -9999  -9999  1500 -9999 -9999 -9999   270 -8888 \n`;
export const DERIVED = `#USM00070026 2014 09 10 00 2304    1    721-99999-99999-99999 94615   606100321   141 97903   335 97903   335 93776   676
 102095      15      15    2749    -136    2732     -45    2754    2738    5706    6939     820     822   -3182     -60    -136     -39     364     316\n`;
export const FB = `000\nFBUS31 KWNO 151359\nFD1US1\nDATA BASED ON 151200Z\nVALID 151800Z   FOR USE 1400-2100Z. TEMPS NEG ABV 24000\n
FT  3000    6000    9000   12000   18000   24000  30000  34000  39000
ABI      2516+14 2321+09 2225+01 2360-13 2265-24 227740 229350 732456
JAX 9900 1210+14 1307+10 1307+05 2909-07 3209-19 321336 311746 303057
ALS                      3111-05 3016-20 3114-32 342747 352353 263355\n`;
export const MESONET = `{"profiles": [{"station": "CYSM", "valid": "1999-05-04T00:00:00Z", "profile": [{"pres": 1000.0, "hght": -73.0, "tmpc": null,
 "dwpc": NaN, "drct": null, "sknt": null}, {"pres": 968.0, "hght": 203.0, "tmpc": 17.2, "dwpc": 3.2, "drct": 20.0, "sknt": 2.0}]}]}`;
export const SONDE = `time,pressure_hPa,temperature_C,humidity_pct,wind_from_deg,wind_speed_ms,vertical_speed_ms,latitude,longitude,gps_altitude_m,gps_satellites
${Array.from({ length: 12 }, (_, i) => `2026-03-14T06:00:${String(10 + 2 * i)}Z,300.1,-20.5,30,90.5,${i === 9 ? 170 : 10},-15,13.6,-56.9,${9000 - 30 * i},8`).join('\n')}\n`;
export const TEMP = `USUS44 KWBC 060000\n72694 TTAA 56001 72694 99009 22868 29006 00137 20667 28507 92801 13662 25507 85505 06857 21003 70077 01471 23023
50573 12971 24538 40739 25780 25040 88185 62963 23051 77221 23563 40311 31313 58208 82326=
TTBB 56008 72694 00009 22868 11000 20667 22850 06857=\nPPBB 56008 72694 90012 29006 27508 26008 90346 26007 28006 24509=\n`;
export const PILOT =
  'PPAA 59121 96565 55185 00505 77999=\nPPBB 59121 96565 90/12 00000 28005 29504 90345 33504 34005 00505 906// 00508=\n';
export const METAR = `METAR KFBG 211255Z 26007KT 230V290 10SM CLR 22/12 A3012 RMK AO2=\nSPECI EGLL 211320Z VRB02KT 9999 SCT030 18/09 Q1021=
UUEE 211300Z 24008MPS 210V270 CAVOK 15/07 Q1009\nKABC 211256Z AUTO 33065G105KT 5SM RA 10/08 A2950=\n`;
export const STREAM = `${METAR}${TEMP}SPECI EDDW 151220Z 24015KT 18/09 Q1021\n${PILOT}TAF EDDW 151100Z 1512/1612 27030KT=\nSMDL40 EDZW 151200
AAXX 15121 10224 41575 62604=\n${FB}`;

const nmea = (body: string): string => `$${body}*${nmeaChecksum(body).toString(16).toUpperCase().padStart(2, '0')}\r\n`;
export const NMEA = [
  'GPRMC,235958.00,A,4807.038,N,01131.000,E,022.4,084.4,230326,003.1,W',
  'GPGGA,235959.00,4807.040,N,01131.010,E,1,08,0.9,545.4,M,46.9,M,,',
  'GNGNS,000000.00,4807.050,N,01131.030,E,AAN,12,0.8,546.1,46.9,,',
  'GPGLL,4807.060,N,01131.050,E,000001.00,A,A',
]
  .map(nmea)
  .join('');
export const APRS = `N0CALL-11>APRS,WIDE1-1:@092345z4903.50N/07201.75W>088/036/A=001234!W63!\nN0CALL-11>APRS:=/5L!!<*e7>S]Q
N0CALL-11>APRS:/092346h4903.  N/07201.  W-text\nN0CALL-11>APRS:!9903.50N/07201.75W-\n# comment\n`;
export const GPSD = `{"class":"VERSION","release":"3.22"}
{"class":"TPV","device":"/dev/a","time":"2026-03-14T06:00:00.250Z","lat":46.5,"lon":7.5,"altMSL":1343.1,"mode":3}
{"class":"TPV","device":"/dev/a","time":"2026-03-14T06:00:01Z","lat":46.5001,"lon":7.5,"altHAE":1390,"geoidSep":47,"mode":2}\n`;
export const GPX = `<?xml version="1.0"?><gpx version="1.1"><trk><name>a &amp; b</name><trkseg>
<trkpt lat="46.5" lon="7.5"><ele>1343</ele><time>2026-03-14T06:00:00Z</time></trkpt>
<trkpt lat="46.501" lon="7.501"><ele>1340</ele><time>2026-03-14T06:00:05+01:00</time></trkpt></trkseg></trk>
<rte><name>field</name><rtept lat="46" lon="7"/><rtept lat="46" lon="7.1"/><rtept lat="46.1" lon="7.1"/></rte></gpx>`;
export const IGC = `AXXX001\nHFDTE140326\nI023636LAD3737LOD\nB2359584654507N00730123EA002800042157\nB0000024654517N00730133EA002790042057
B0000044654527N00730143EV002780000057\n`;
export const KML = `<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>b</name><gx:Track><when>2026-03-14T06:00:00Z</when>
<gx:coord>7.5 46.5 300</gx:coord><when>2026-03-14T06:00:10Z</when><gx:coord>7.51 46.5 310</gx:coord></gx:Track></Placemark>
<Placemark><name>c</name><LineString><coordinates>7,46,1 7.1,46,2</coordinates></LineString></Placemark>
<Placemark><name>d</name><Polygon><outerBoundaryIs><LinearRing><coordinates>7,46 8,46 8,47 7,46</coordinates></LinearRing></outerBoundaryIs>
<innerBoundaryIs><LinearRing><coordinates>7.4,46.2 7.6,46.2 7.6,46.4</coordinates></LinearRing></innerBoundaryIs></Polygon></Placemark>
</Document></kml>`;
export const AREAS = `{"type":"FeatureCollection","features":[{"type":"Feature","id":7,"properties":{"name":"field"},"geometry":{"type":"Polygon",
"coordinates":[[[10,50],[11,50],[11,51],[10,51],[10,50]],[[10.2,50.2],[10.4,50.2],[10.4,50.4],[10.2,50.2]]]}},
{"type":"Feature","properties":null,"geometry":{"type":"GeometryCollection","geometries":[{"type":"MultiPolygon",
"coordinates":[[[[179,1],[-179,1],[-179,2],[179,2]]]]},{"type":"Point","coordinates":[1,2]}]}}]}`;
export const ASC =
  'ncols 3\nnrows 2\nxllcorner 22\nyllcorner -31\ncellsize 0.5\nNODATA_value -9999\n100 110,5 120\n130 1.4e2 -9999\n';
export const ASC_METRES =
  'ncols 3\nnrows 3\nxllcenter 500000\nyllcenter 5080000\ndx 20000\ndy 20000\n1 2 3\n4 5 6\n7 8 9\n';

/** Lines as crews type them; `fuzz.ts` mixes their words too. */
export const REPORT_LINES = [
  '090/7 kt',
  '09007G12KT 060V120',
  'from the north 5 to 10 knots at 1500 ft agl',
  '300 true at 40 knots FL390',
  'toward the ridge 10 kt',
  'crew Team 2 090/7 kt 5 min ago',
  'wind two seven zero degrees true one zero knots',
  '240 10 gusting 15 kt 13:45z',
  'light and variable',
  'east 3 m/s 2 m agl at Low Ridge; calm before',
];
