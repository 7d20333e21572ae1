#!/usr/bin/env python3
"""O-ring sizes (SAE AS568), ISO 3601-1 tolerance rules, gland limits, shelf life, lubricant cautions and worked examples.

Tables typed in here are published values; see README.md and the `source` / `how_confirmed` columns for where each was read.
Run:  python gen_oring.py
"""
import math
import random

from refcommon import write_csv

SEED = 568
rng = random.Random(SEED)

CS = {"0": (0.070, 0.003, 1.78, 0.08), "1": (0.103, 0.003, 2.62, 0.08), "2": (0.139, 0.004, 3.53, 0.10), "3": (0.210, 0.005, 5.33, 0.13), "4": (0.275, 0.006, 6.99, 0.15)}

# dash: (inside diameter in, tolerance in, inside diameter mm as printed, tolerance mm as printed)
AS568 = {'008': (0.176, 0.005, 4.47, 0.13),
 '010': (0.239, 0.005, 6.07, 0.13),
 '012': (0.364, 0.005, 9.25, 0.13),
 '014': (0.489, 0.005, 12.42, 0.13),
 '016': (0.614, 0.009, 15.6, 0.23),
 '020': (0.864, 0.009, 21.95, 0.23),
 '024': (1.114, 0.01, 28.3, 0.25),
 '028': (1.364, 0.013, 34.65, 0.33),
 '032': (1.864, 0.015, 47.35, 0.38),
 '038': (2.614, 0.02, 66.4, 0.51),
 '042': (3.239, 0.024, 82.27, 0.61),
 '046': (4.239, 0.03, 107.67, 0.76),
 '106': (0.174, 0.005, 4.42, 0.13),
 '110': (0.362, 0.005, 9.19, 0.13),
 '112': (0.487, 0.005, 12.37, 0.13),
 '114': (0.612, 0.009, 15.54, 0.23),
 '116': (0.737, 0.009, 18.72, 0.23),
 '120': (0.987, 0.01, 25.07, 0.25),
 '126': (1.362, 0.012, 34.59, 0.3),
 '133': (1.799, 0.015, 45.69, 0.38),
 '141': (2.3, 0.02, 58.42, 0.51),
 '150': (2.862, 0.022, 72.69, 0.56),
 '156': (4.237, 0.03, 107.62, 0.76),
 '164': (6.237, 0.04, 158.42, 1.02),
 '202': (0.234, 0.005, 5.94, 0.13),
 '210': (0.734, 0.01, 18.64, 0.25),
 '212': (0.859, 0.01, 21.82, 0.25),
 '214': (0.984, 0.01, 24.99, 0.25),
 '216': (1.109, 0.012, 28.17, 0.3),
 '222': (1.484, 0.015, 37.69, 0.38),
 '228': (2.234, 0.02, 56.74, 0.51),
 '236': (3.234, 0.024, 82.14, 0.61),
 '244': (4.234, 0.03, 107.54, 0.76),
 '252': (5.234, 0.035, 132.94, 0.89),
 '260': (6.484, 0.04, 164.69, 1.02),
 '268': (8.484, 0.05, 215.49, 1.27),
 '310': (0.475, 0.005, 12.07, 0.13),
 '312': (0.6, 0.009, 15.24, 0.23),
 '316': (0.85, 0.01, 21.59, 0.25),
 '320': (1.1, 0.012, 27.94, 0.3),
 '325': (1.475, 0.015, 37.47, 0.38),
 '330': (2.1, 0.018, 53.34, 0.46),
 '336': (2.85, 0.02, 72.39, 0.51),
 '342': (3.6, 0.028, 91.44, 0.71),
 '350': (4.6, 0.03, 116.84, 0.76),
 '358': (5.6, 0.037, 142.24, 0.94),
 '364': (6.725, 0.04, 170.82, 1.02),
 '370': (8.225, 0.05, 208.92, 1.27),
 '425': (4.475, 0.033, 113.67, 0.84),
 '427': (4.725, 0.033, 120.02, 0.84),
 '430': (5.1, 0.037, 129.54, 0.94),
 '433': (5.475, 0.037, 139.07, 0.94),
 '436': (5.85, 0.037, 148.59, 0.94),
 '438': (6.225, 0.04, 158.12, 1.02),
 '441': (6.975, 0.04, 177.17, 1.02),
 '444': (7.725, 0.045, 196.22, 1.14),
 '447': (8.975, 0.055, 227.97, 1.4),
 '450': (10.475, 0.06, 266.07, 1.52),
 '454': (12.475, 0.06, 316.87, 1.52),
 '458': (14.475, 0.07, 367.67, 1.78)}

SRC = "SAE AS568 (inch and mm columns); read in a public transcription of the whole table, inch x 25.4 checked here against its mm column"


def as568():
    rows = []
    for dash, (idi, tol, idm, tolm) in AS568.items():
        c = CS[dash[0]]
        assert abs(idi * 25.4 - idm) < 0.0065, dash
        assert abs(tol * 25.4 - tolm) < 0.0065, dash
        rows.append({"dash": dash, "series": dash[0] + "xx", "id_in": idi, "id_tol_in": tol, "cs_in": c[0], "cs_tol_in": c[1],
                     "id_mm_printed": idm, "id_tol_mm_printed": tolm, "cs_mm_printed": c[2], "cs_tol_mm_printed": c[3],
                     "id_mm_exact": round(idi * 25.4, 6), "cs_mm_exact": round(c[0] * 25.4, 6), "source": SRC, "how_confirmed": (lambda d: "text read (two transcriptions of the inside diameters) + agrees with memory" if d[0] == "0" else "text read (one transcription) + agrees with memory")(dash)})
    write_csv("oring_as568.csv", rows)


def cs_tol_iso(d2):
    """ISO 3601-1 class B cross-section tolerance bands, mm."""
    for hi, t in ((2.25, 0.08), (3.15, 0.09), (4.50, 0.10), (6.30, 0.13), (8.40, 0.15)):
        if d2 <= hi:
            return t
    raise ValueError(d2)


def iso():
    rows = []
    for i, (d1, d2) in enumerate([(5.0, 1.5), (10.0, 2.0), (15.0, 1.8), (20.0, 2.65), (24.0, 3.0), (31.5, 3.55), (40.0, 3.5), (50.0, 2.5), (63.0, 4.0), (71.0, 5.3), (80.0, 5.0),
 (95.0, 3.55), (100.0, 3.0), (112.0, 7.0), (125.0, 5.7), (140.0, 3.55), (160.0, 4.0), (180.0, 5.3), (200.0, 6.0), (224.0, 7.0)]):
        rows.append({"case": i + 1, "d1_mm": d1, "d2_mm": d2, "d1_tol_mm": 0.11 + 0.009 * d1 ** 0.95, "d1_tol_rounded_mm": round(0.11 + 0.009 * d1 ** 0.95, 2),
                     "d2_tol_mm": cs_tol_iso(d2), "published_d1_tol_mm": {5.0: 0.15, 10.0: 0.19, 20.0: 0.26, 40.0: 0.41, 80.0: 0.69, 160.0: 1.23}.get(d1),
                     "source": "ISO 3601-1 class B: d1 tolerance = +-(0.11 + 0.009 d1^0.95), d2 bands; read in a distributor's reprint of ISO 3601-1 class B Annex A.4"})
    write_csv("oring_iso3601_tolerances.csv", rows)


def glands():
    rows = []
    for r in [('G1', 'static face', 0.07, 'gland depth', 0.05, 0.054, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G2', 'static face', 0.07, 'squeeze', 19, 32, '%', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'memory; the printed handbook was not read'),
 ('G3', 'static face', 0.07, 'groove width, liquids', 0.101, 0.107, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G4', 'static face', 0.07, 'groove width, vacuum and gases', 0.084, 0.089, 'in',
  'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G5', 'static face', 0.103, 'gland depth', 0.074, 0.08, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G6', 'static face', 0.103, 'squeeze', 20, 30, '%', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'memory; the printed handbook was not read'),
 ('G7', 'static face', 0.103, 'groove width, liquids', 0.136, 0.142, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G8', 'static face', 0.103, 'groove width, vacuum and gases', 0.12, 0.125, 'in',
  'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G9', 'static face', 0.139, 'gland depth', 0.101, 0.107, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G10', 'static face', 0.139, 'squeeze', 20, 30, '%', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G11', 'static face', 0.139, 'groove width, liquids', 0.177, 0.187, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G12', 'static face', 0.139, 'groove width, vacuum and gases', 0.158, 0.164, 'in',
  'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G13', 'static face', 0.21, 'gland depth', 0.152, 0.162, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G14', 'static face', 0.21, 'squeeze', 21, 30, '%', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G15', 'static face', 0.21, 'groove width, liquids', 0.27, 0.29, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G16', 'static face', 0.21, 'groove width, vacuum and gases', 0.239, 0.244, 'in',
  'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G17', 'static face', 0.275, 'gland depth', 0.201, 0.211, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'memory; the printed handbook was not read'),
 ('G18', 'static face', 0.275, 'squeeze', 21, 29, '%', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G19', 'static face', 0.275, 'groove width, liquids', 0.342, 0.362, 'in', 'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)',
  'memory; the printed handbook was not read'),
 ('G20', 'static face', 0.275, 'groove width, vacuum and gases', 0.309, 0.314, 'in',
  'Design handbook ORD 5700, Design Chart 4-3 (face seal glands)', 'memory; the printed handbook was not read'),
 ('G21', 'static radial', 0.07, 'gland depth', 0.05, 0.052, 'in', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G22', 'static radial', 0.07, 'squeeze', 22, 32, '%', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G23', 'static radial', 0.07, 'groove width, no back-up ring', 0.093, 0.098, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G24', 'static radial', 0.07, 'diametral clearance', 0.002, 0.005, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G25', 'static radial', 0.103, 'gland depth', 0.081, 0.083, 'in', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G26', 'static radial', 0.103, 'squeeze', 17, 24, '%', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G27', 'static radial', 0.103, 'groove width, no back-up ring', 0.14, 0.145, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G28', 'static radial', 0.103, 'diametral clearance', 0.002, 0.005, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G29', 'static radial', 0.139, 'gland depth', 0.111, 0.113, 'in', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G30', 'static radial', 0.139, 'squeeze', 16, 23, '%', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G31', 'static radial', 0.139, 'groove width, no back-up ring', 0.187, 0.192, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G32', 'static radial', 0.139, 'diametral clearance', 0.003, 0.006, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G33', 'static radial', 0.21, 'gland depth', 0.17, 0.173, 'in', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G34', 'static radial', 0.21, 'squeeze', 15, 21, '%', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G35', 'static radial', 0.21, 'groove width, no back-up ring', 0.281, 0.286, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G36', 'static radial', 0.21, 'diametral clearance', 0.003, 0.006, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G37', 'static radial', 0.275, 'gland depth', 0.226, 0.229, 'in', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G38', 'static radial', 0.275, 'squeeze', 15, 20, '%', 'Design handbook ORD 5700, Design Chart 4-1 (industrial static seals)',
  'second-hand text that itself marks these as recalled; agrees with memory; the printed handbook was not read'),
 ('G39', 'static radial', 0.275, 'groove width, no back-up ring', 0.375, 0.38, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G40', 'static radial', 0.275, 'diametral clearance', 0.004, 0.007, 'in',
  'Design handbook ORD 5700, Design Table 4-2 (industrial static seals, radial, to 1500 psi)',
  'read in a public second-hand transcription; agrees with memory; the printed handbook was not read'),
 ('G41', 'any', None, 'inside-diameter stretch, installed (piston)', 1, 5, '%',
  'A seal maker\'s design guide (1 to 5 %, 2 % ideal, more than 5 % not recommended); ORD 5700 section 3 gives 5 % as the usual maximum',
  'text read (reprint of the design guide); ORD 5700 from memory'),
 ('G42', 'any', None, 'gland fill, largest ring in smallest gland', None, 85, '%',
  'Design handbook ORD 5700 section 3 (at least about 10 % void; 85 % design maximum in common handbook practice)',
  'memory; texts read give 85, 90 (liquids) and 95 (vacuum, narrow groove): treat as guidance'),
 ('G43', 'static', None, 'squeeze, general range', 15, 30, '%',
  'handbook practice for static seals (ORD 5700, ISO 3601-2 design range depends on cross-section)', 'memory; consistent with the chart rows above'),
 ('G44', 'any', None, 'cross-section loss per 3 % of stretch', 1, None, '%', 'Design handbook ORD 5700 (rule of thumb)', 'text read (second-hand)')]:
        rows.append(dict(zip(("id", "kind", "cs_in", "quantity", "low", "high", "unit", "source", "how_confirmed"), r)))
    write_csv("oring_gland_limits.csv", rows)


def shelf():
    rows = []
    for r in [('NBR', 'nitrile', 'B', 7, 3, '15',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('EPDM', 'ethylene propylene', 'C', 10, 5, 'unlimited',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('FKM', 'fluorocarbon', 'C', 10, 5, 'unlimited',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('VMQ', 'silicone', 'C', 10, 5, 'unlimited',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('CR', 'chloroprene', 'B', 7, 3, '15',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('HNBR', 'hydrogenated nitrile', 'B', 7, 3, '15',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316); HNBR-in-B from one of the two ISO reprints'),
 ('AU', 'polyester urethane', 'A', 5, 2, '5',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('NR', 'natural rubber', 'A', 5, 2, None,
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read for ISO 2230; ARP5316 value not found'),
 ('FFKM', 'perfluoroelastomer', 'C', 10, 5, 'unlimited',
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read (two sources for ISO 2230, three for ARP5316)'),
 ('SBR', 'styrene-butadiene', 'A', 5, 2, None,
  'ISO 2230:2002 Table 1 as reprinted by a seal maker (storage groups A/B/C); ARP5316 as summarised by distributors',
  'text read for ISO 2230; ARP5316 texts disagree (15 years in one summary, 3 years in a MIL-HDBK-695E chart)')]:
        rows.append(dict(zip(("material", "name", "iso2230_group", "iso2230_initial_years", "iso2230_extension_years", "arp5316_years", "source", "how_confirmed"), r)))
    write_csv("oring_shelf_life.csv", rows)


def lube():
    rows = []
    for r in [('VMQ', 'silicone fluid or grease', 'avoid', 'the fluid is chemically alike and is absorbed: the ring swells and softens',
  'Design handbook ORD 5700 section 3.1.5 (lubricants)', 'memory; a trade text read says pure silicone oil may partly dissolve a pure silicone gasket'),
 ('EPDM', 'petroleum / mineral-oil grease', 'avoid', 'strong swelling',
  'Design handbook ORD 5700 sections 2-3; SAE paper 820143 (1982) abstract: most selection charts recommend that EP not be used with petroleum fluids, '
  'because of swelling',
  'text read (SAE abstract); handbook from memory'),
 ('EPDM', 'silicone grease', 'suitable', 'no swelling', 'Design handbook ORD 5700 section 3.1.5', 'memory'),
 ('NBR', 'petroleum / mineral-oil grease', 'suitable', 'slight or none', 'Design handbook ORD 5700 section 3.1.5',
  'text read (nitrile resists petroleum oils); handbook from memory'),
 ('NBR', 'silicone grease', 'suitable', 'none expected', 'Design handbook ORD 5700 section 3.1.5', 'memory'),
 ('FKM', 'silicone grease', 'suitable', 'none expected', 'Design handbook ORD 5700 section 3.1.5', 'memory')]:
        rows.append(dict(zip(("seal_material", "lubricant_base", "verdict", "effect", "source", "how_confirmed"), r)))
    write_csv("oring_lubricants.csv", rows)


def squeezed_cs_torus(d1, d2, d1s):
    """Cross-section of a ring stretched from inside diameter d1 to d1s at constant rubber volume: d2'^2 (d1s + d2') = d2^2 (d1 + d2)."""
    k = d2 * d2 * (d1 + d2)
    x = d2
    for _ in range(60):
        x -= (x * x * (d1s + x) - k) / (2 * x * (d1s + x) + x * x)
    return x


def handbook_reduction(st):
    """Cross-section reduction in %, from inside-diameter stretch in %; fit printed with Design handbook ORD 5700 Figure 3-3 (from memory)."""
    if st <= 0:
        return 0.0
    if st <= 3.0:
        return -0.005 + 1.19 * st - 0.19 * st ** 2 - 0.001 * st ** 3 + 0.008 * st ** 4
    return 0.56 + 0.59 * st - 0.0046 * st ** 2


def examples():
    rows = []
    keys = list(AS568)
    for i in range(40):
        dash = keys[rng.randrange(len(keys))]
        idi, tol, _, _ = AS568[dash]
        ci, ctol = CS[dash[0]][:2]
        d1, d2, t1, t2 = idi * 25.4, ci * 25.4, tol * 25.4, ctol * 25.4
        kind = "piston" if i % 2 == 0 else "face"
        if kind == "piston":
            st = rng.uniform(-0.5, 7.0)
            groove_d = round(d1 * (1 + st / 100), 3)
        else:
            groove_d = round(d1 * (1 + rng.uniform(-1.0, 2.0) / 100), 3)
        depth = round(d2 * (1 - rng.uniform(0.08, 0.34)), 3)
        width = round(d2 * rng.uniform(1.05, 1.65), 3)
        stretch = (groove_d - d1) / d1 * 100.0
        eff = max(groove_d, d1)
        d2s = squeezed_cs_torus(d1, d2, eff)
        d2_simple = d2 / math.sqrt(1 + max(0.0, stretch) / 100.0)
        sq = lambda d: (d - depth) / d * 100.0
        area = lambda d: math.pi / 4 * d * d / (width * depth) * 100.0
        vol_ring = math.pi ** 2 / 4 * d2s ** 2 * (eff + d2s)
        vol_gland = math.pi * width * depth * ((groove_d + depth) if kind == "piston" else (groove_d + width))
        rows.append({
            "case": i + 1, "seal": kind, "dash": dash, "id_mm": d1, "cs_mm": d2, "id_tol_mm": t1, "cs_tol_mm": t2,
            "groove_diameter_mm": groove_d, "gland_depth_mm": depth, "groove_width_mm": width,
            "stretch_percent": stretch, "stretch_min_percent": (groove_d - (d1 + t1)) / (d1 + t1) * 100.0, "stretch_max_percent": (groove_d - (d1 - t1)) / (d1 - t1) * 100.0,
            "cs_after_stretch_constant_volume_mm": d2s, "cs_after_stretch_simple_mm": d2_simple,
            "cs_after_stretch_handbook_fit_mm": d2 * (1 - handbook_reduction(stretch) / 100.0),
            "squeeze_nominal_percent": sq(d2), "squeeze_min_percent": sq(d2 - t2), "squeeze_max_percent": sq(d2 + t2),
            "squeeze_after_stretch_percent": sq(d2s),
            "fill_area_nominal_percent": area(d2), "fill_area_max_percent": area(d2 + t2), "fill_volume_percent": 100.0 * vol_ring / vol_gland,
            "stretch_ok_1_to_5": 1.0 <= stretch <= 5.0, "stretch_over_5": stretch > 5.0,
            "squeeze_ok_15_to_30": 15.0 <= sq(d2) <= 30.0, "fill_ok_max_85": area(d2 + t2) <= 85.0,
        })
    write_csv("oring_examples.csv", rows)


if __name__ == "__main__":
    as568()
    iso()
    glands()
    shelf()
    lube()
    examples()
