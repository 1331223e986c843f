/**
 * What a certificate says. The whole of it is fixed here as strings and numbers, before anything is drawn:
 * screen and PDF print these strings as they stand, so that they can't disagree.
 *
 * The list of contents follows ISO/IEC 17025:2017, 7.8.2, 7.8.4 and 7.8.6 (partly from memory), which does
 * not make the paper an accredited certificate: it says so itself.
 */
import type { Interval } from '../judge/verdict.ts';
import type { FiringRecord, Job, PaperStage, StageId, Workshop } from '../record/job.ts';
import type { DateStyle, Preferences } from '../record/preferences.ts';

export type Paper = 'A4' | 'Letter';

/** A firing as the certificate reads it: the samples are not needed. A FiringRecord is one, and so is a row. */
export type CertifiedFiring = Omit<FiringRecord, 'firing'> & {
  readonly firing: Pick<FiringRecord['firing'], 'spoilt' | 'tickHz' | 'firstTick' | 'ticksPerSample'>;
};

/** A file that travels inside the PDF, with its SHA-256 in 64 hex digits. */
export interface DataFile {
  readonly name: string;
  readonly sha256: string;
}

export interface CertificateInput {
  readonly workshop: Workshop;
  readonly job: Job;
  /** Every firing of the job, the spoilt and the set-aside ones too, in any order. */
  readonly firings: readonly CertifiedFiring[];
  /** Moment of issue, ISO 8601 with zone. The only date that goes into the PDF's own properties. */
  readonly issued: string;
  /**
   * IANA name of the time zone in which days are printed ('Europe/Berlin'). Without it a day is printed as
   * it stands in its own time stamp.
   */
  readonly timeZone?: string;
  /** Unique among the papers of the workshop. */
  readonly certificateNumber: string;
  readonly paper: Paper;
  /** What the workshop calls it; never an accredited one. */
  readonly title: Preferences['papers']['title'];
  readonly dates: DateStyle;
  /** The readings as data, attached to the PDF; null for a paper without. */
  readonly dataFile: DataFile | null;
  /** Firings of the job that are kept but could not be read, and so are missing here; 0 when left out. */
  readonly unreadable?: number;
}

export interface Field {
  readonly label: string;
  /** One string for each line. */
  readonly lines: readonly string[];
}

export interface FieldGroup {
  readonly heading: string;
  readonly fields: readonly Field[];
}

/** The printed figures of one mark in one stage; a figure that could not be had is a dash. */
export interface StageFigures {
  readonly n: string;
  /** Mean time with its unit, and as a shutter fraction. */
  readonly mean: string;
  readonly fraction: string;
  /** Mean error in EV with its sign, to the decimals of its uncertainty. */
  readonly error: string;
  /** Expanded uncertainty of the mean error in EV, '±0.043'. */
  readonly uncertainty: string;
  /** Sample standard deviation in EV. */
  readonly spread: string;
  /** 'steady', 'erratic' or 'too few'; empty where the job sets no limit. */
  readonly repeats: string;
  readonly verdict: string;
  /** Probability that the true mean error lies in the band, '98 %'. */
  readonly conformity: string;
  /** The verdict is one to be seen: neither within its band nor merely missing. */
  readonly beyond: boolean;
}

export interface CertificateRow {
  readonly mark: string;
  /** Time the mark is compared with, with its unit, and as a shutter fraction. */
  readonly reference: string;
  readonly referenceFraction: string;
  /** As on the screen, '±1/3 stop' or '±20 %'; a dash for B and T. */
  readonly band: string;
  /** Dashes for a stage that the rows were not made from. */
  readonly stages: { readonly [stage in StageId]: StageFigures };
}

export interface ChartReading {
  /** EV, positive is slow. */
  readonly error: number;
  /** EV: the error less and plus its expanded uncertainty; null with fewer than two firings. */
  readonly interval: Interval | null;
}

export interface ChartMark {
  readonly mark: string;
  /** Limits in EV. */
  readonly lower: number;
  readonly upper: number;
  /** Null for a stage that the chart was not made from. */
  readonly stages: { readonly [stage in StageId]: ChartReading | null };
  /** Words that stand in place of a reading ('did not fire'), or null. */
  readonly notes: { readonly [stage in StageId]: string | null };
}

export interface CertificateChart {
  readonly title: string;
  /** The chart in words, for whoever can't see it. */
  readonly description: string;
  /** Those shown, in the order of the work. */
  readonly stages: readonly StageId[];
  readonly marks: readonly ChartMark[];
}

/** Both stages beside each other, one property to a line. */
export interface Comparison {
  readonly heading: string;
  readonly rows: readonly {
    readonly label: string;
    readonly stages: { readonly [stage in PaperStage]: string };
  }[];
  /** Sentences under it: what differs. */
  readonly notes: readonly string[];
}

/** A table of strings, drawn over the full width. */
export interface CertificateTable {
  readonly heading: string;
  readonly columns: readonly { readonly head: string; readonly align: 'left' | 'right' }[];
  /** As many cells as columns; the first heads its row. */
  readonly rows: readonly (readonly string[])[];
  /** Sentences under it; where there are no rows, they say why. */
  readonly notes: readonly string[];
}

export interface Section {
  readonly heading: string;
  readonly paragraphs: readonly string[];
  readonly items: readonly string[];
}

/** What every paper of the workshop says at its head and its foot. */
export interface PaperHead {
  readonly language: 'en';
  readonly paper: Paper;
  /** ISO 8601 with zone. */
  readonly issued: string;
  readonly title: string;
  readonly number: string;
  /** 'Certificate no. …', printed on each page. */
  readonly numberLine: string;
  readonly workshop: { readonly name: string; readonly lines: readonly string[] };
  /** The logo in words, for whoever can't see it. */
  readonly logoWords: string;
  /** What is invented or simulated, short, on each page; empty when there is nothing to say. */
  readonly pageNotice: string;
  /** Printed only where a character could not be. */
  readonly replacementNote: string;
  readonly endMark: string;
}

export interface CertificateContent extends PaperHead {
  readonly kind: 'certificate';
  readonly subtitle: string;
  /** For the PDF's properties: the hashStatement of the data file, or empty. */
  readonly keywords: string;
  /** Said loudly on the first page: practice bench, invented data. */
  readonly notices: readonly string[];
  readonly particulars: readonly FieldGroup[];
  readonly result: Section;
  /** In a plain table on page 1, and with all their figures overleaf. */
  readonly rows: readonly CertificateRow[];
  /** How to read the plain table; empty without rows, as is the other. */
  readonly plainKey: readonly string[];
  /** Page 1, under the table: for the customer. */
  readonly front: readonly Section[];
  readonly detailsHeading: string;
  /** How to read the table with all figures. */
  readonly key: readonly string[];
  readonly chart: CertificateChart;
  /** Spread and odds, the uncertainty budget, other stages and checks. */
  readonly tables: readonly CertificateTable[];
  readonly comparisons: readonly Comparison[];
  readonly sections: readonly Section[];
  readonly signature: { readonly name: string; readonly date: string; readonly line: string };
}
