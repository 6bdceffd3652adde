// The table of commands. Each loads its own modules when it runs, so that one command's start does not pay for
// another's formats.
import type { Output } from './output.ts';

export interface Command {
  readonly name: string;
  /** One line for `--help`. */
  readonly summary: string;
  /** What `COMMAND --help` says: the form of the call, then its options. */
  readonly usage: string;
  /** Answers the exit status: 0 with an answer, 2 (REFUSED) where the input was refused. */
  readonly run: (args: readonly string[], output: Output) => Promise<number>;
}

export const commands: readonly Command[] = [
  {
    name: 'predict',
    summary: 'predicts one descent as planned',
    usage: `  plumbline predict FILE.mission.json [--json]

  --json   one JSON value and nothing else: stages, peak, opening, landing, track, warnings`,
    run: async (args, output) => (await import('./predict.ts')).runPredict(args, output),
  },
  {
    name: 'ensemble',
    summary: 'draws many descents of the plan and says where they land',
    usage: `  plumbline ensemble FILE.mission.json [--members N] [--seed N] [--at TIME] [--workers N] [--json]

  --members N   how many descents are drawn (10000)
  --seed N      the same seed gives the same bytes, with any number of workers (1)
  --at TIME     the mission at this time, ISO 8601 UTC; default: the newest event of its log
  --workers N   threads; 0: chosen by the machine
  --json        one JSON value and nothing else`,
    run: async (args, output) => (await import('./ensemble.ts')).runEnsemble(args, output),
  },
  {
    name: 'advise',
    summary: 'go, hold or no-go with every limit, the exit window, the zones; cases, gondola, crews, search',
    usage: `  plumbline advise FILE.mission.json [--at TIME] [--members N] [--seed N] [--json]

  --at TIME     the mission at this time, ISO 8601 UTC; default: the newest event of its log
  --members N   how many descents are drawn (2000); at most 500 of a case
  --seed N      seed of the draws (1)
  --json        one JSON value and nothing else`,
    run: async (args, output) => (await import('./advise.ts')).runAdvise(args, output),
  },
  {
    name: 'when',
    summary: 'which hour: every hour of the forecasts as an exit, with what limits it',
    usage: `  plumbline when FILE.mission.json [--at TIME] [--members N] [--seed N] [--json]

  --at TIME     the moment at which it is asked, ISO 8601 UTC: hours before it are left out;
                default: the newest event of the log, and without a log all hours of the forecasts
  --members N   how many descents are drawn of each hour (150)
  --seed N      seed of the draws (1)
  --json        one JSON value and nothing else: members, problems, hours. Of each hour: at, word (as advise gives
                it for the plan with its exit moved there) and because; asForecast (the word without the limits that
                only the day answers, such as a fresh surface wind) and limits (what breaks it); zone, inZone,
                light (day, twilight, dark), lead_h (null: no forecast says when its run began), spread (90 of 100),
                runs (known, reach, apart_m), reached (whether the forecast reaches the whole flight: else never GO),
                anywhere (the best exit of that hour), exit (as it would stand in the plan)`,
    run: async (args, output) => (await import('./when.ts')).runWhen(args, output),
  },
  {
    name: 'brief',
    summary: 'the brief for the crews: sheet, one page per crew, radio, map, exports',
    usage: `  plumbline brief FILE.mission.json [--at TIME] [--format FORMAT] [--crew NAME] [--out PATH] [--since TIME]

  --format FORMAT   text, html, pdf, phone (one crew's page), radio (to be read aloud), json, gpx, kml, geojson, csv (text)
  --at TIME         the mission at this time, ISO 8601 UTC; default: the newest event of its log
  --crew NAME       one crew's page, or its route in an export
  --out PATH        the file to write (needed for a PDF); default: standard output
  --since TIME      marks what changed since the brief of that time; radio: only the corrections.
                    Default: a crew's page marks what changed since the version that it acknowledged
  --table TABLE     for csv: cases, members (every drawn landing), levels (the winds)
  --members N       how many descents are drawn of the case as planned, twice those of another (500)
  --seed N          seed of the draws (1)`,
    run: async (args, output) => (await import('./brief.ts')).runBrief(args, output),
  },
  {
    name: 'hear',
    summary: 'reads typed and spoken wind reports, one a line, as the entry line would',
    usage: `  plumbline hear FILE.mission.json [--at TIME] [--json] < LINES

  --at TIME   when they are heard, ISO 8601 UTC; default: the newest event of the mission's log
  --json      one JSON object per line: wind, calm, asked (with the question), refused (why), not a wind;
              default: the reading-back in words`,
    run: async (args, output) => (await import('./hear.ts')).runHear(args, output),
  },
  {
    name: 'follow',
    summary: 'follows recorded tracks or receivers: phases, landing, spread, alerts step by step',
    usage: `  plumbline follow FILE.mission.json --feed BODY=PATH… [--every S] [--at TIME] [--members N] [--seed N] [--json]

  --feed BODY=PATH   a track and whose it is (jumper, gondola, a team's name): NMEA, APRS, gpsd, GPX, IGC, KML;
                     or tcp://HOST:PORT, udp://HOST:PORT: followed until the far end closes (NMEA, APRS, gpsd)
  --every S          seconds of the tracks' time between answers (10)
  --at TIME          the mission's winds at this time, ISO 8601 UTC; default: the newest event of its log
  --members N        how many descents are drawn for each answer (200)
  --seed N           seed of the draws (1)
  --json             one JSON object per step: at, phases, landing, ellipses, alerts`,
    run: async (args, output) => (await import('./follow.ts')).runFollow(args, output),
  },
  {
    name: 'debrief',
    summary: 'after the touchdown: expected against actual, winds used and found, calls, corrections, crews',
    usage: `  plumbline debrief FILE.mission.json [--format FORMAT] [--out PATH] [--members N] [--seed N]

  --format FORMAT   text, html, pdf (needs --out), json, csv (the log as a table) (text)
  --out PATH        the file to write; default: standard output
  --members N       how many descents are drawn of each moment (400)
  --seed N          seed of the draws (1)`,
    run: async (args, output) => (await import('./debrief.ts')).runDebrief(args, output),
  },
  {
    name: 'rehearse',
    summary: 'flies a rehearsal against a hidden descent without a person, and scores it',
    usage: `  plumbline rehearse FILE.mission.json [--scenario NAME] [--seed N] [--lead LEAD] [--log PATH] [--json]
  plumbline rehearse FILE.mission.json --serve [--scenario NAME] [--seed N] [--speed N] [--json]

  --scenario NAME   one that comes with the program (calm run, reversed report, fixes lost under canopy,
                    another wind aloft, late opening, wrong units), any (drawn by the seed), or the path of a
                    file *.json (calm run)
  --seed N          the hidden descent: the same seed gives the same bytes (1)
  --lead LEAD       what is done with a wind that is held back: careful (its crew reads it again) or
                    credulous (it is confirmed as it stands) (careful)
  --every S         seconds between two looks of the lead, who says one thing at each (10)
  --members N       how many descents are drawn at each look (200)
  --log PATH        writes the log that was kept, a new file: beside a copy of the mission it can be replayed
                    and debriefed
  --serve           for a person: the fixes of the jumper and of each crew are served at tcp://127.0.0.1:PORT,
                    to be followed in the window (Reports, Feeds); what is said on the radio is printed, and
                    typed: again NAME (a crew reads its wind again), go or go NAME (to the touchdown of the log,
                    else to the landing called last). FILE is what the window has open (of a demo its copy);
                    its log is scored at the end
  --speed N         seconds of the served rehearsal in one (1: a window's clock)
  --json            one JSON value and nothing else: the score`,
    run: async (args, output) => (await import('./rehearse.ts')).runRehearse(args, output),
  },
  {
    name: 'winds',
    summary: 'decodes any wind file that the program reads',
    usage: `  plumbline winds FILE… [--json] [--position LON,LAT] [--station NAME] [--date TIME]

  --json               one JSON value and nothing else, instead of tables
  --position LON,LAT   where to read a gridded forecast, degrees, longitude first
  --station NAME       which station to read from a bulletin with several
  --date TIME          the day (UTC) that a bulletin without month or year belongs to; a time picks the nearest`,
    run: async (args, output) => (await import('./winds.ts')).runWinds(args, output),
  },
];
