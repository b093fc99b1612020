"""Rooms as they are met: what stands in them, which rules pull against each other. Invented; sizes common practice."""

SIXTEEN = {"oc": 16, "width": 1.5}
DEN = {
    "unit": "in",
    "L": 148.5,
    "W": 112,
    "rows": 2,
    "cols": 3,
    "light": {"cutout_d": 4.25, "clear": 0.5},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 14, "max": 34, "pref": 24},
    "row_setback": {"min": 14, "max": 32, "pref": 24},
    "spacing_max": 60,
}
MEDIA = {
    **DEN,
    "L": 222.25,
    "W": 158,
    "rows": 3,
    "cols": 5,
    "speaker": {"cutout_d": 8, "clear": 0.5, "gaps": [1, 4], "off_max": 4},
    "row_uneven_max": 2,
}
FLAT = {
    "unit": "mm",
    "L": 4210,
    "W": 2985,
    "rows": 2,
    "cols": 4,
    "light": {"cutout_d": 95, "clear": 12},
    "edge_min": 60,
    "web_min": 40,
    "end_setback": {"min": 350, "max": 800, "pref": 600},
    "row_setback": {"min": 400, "max": 900, "pref": 700},
    "spacing_max": 1500,
}
HALL = {
    "unit": "in",
    "L": 187.5,
    "W": 46,
    "rows": 1,
    "cols": 4,
    "light": {"cutout_d": 6.375, "clear": 0.5},
    "edge_min": 2,
    "web_min": 1.5,
    "end_setback": {"min": 12, "max": 30, "pref": 24},
    "row_setback": {"min": 12, "max": 30, "pref": 23},
    "spacing_max": 66,
}
LAY_IN = {
    "unit": "in",
    "L": 240,
    "W": 168,
    "rows": 3,
    "cols": 4,
    "light": {"cutout_d": 6},
    "edge_min": 2,
    "end_setback": {"min": 12, "max": 60, "pref": 36},
    "row_setback": {"min": 12, "max": 60, "pref": 36},
    "spacing_max": 72,
    "uneven_max": 24,
    "row_uneven_max": 24,
    "tile": {"px": 24, "py": 24, "ox": 0, "oy": 0},
}
FAN = {"type": "circle", "x": 74.25, "y": 34, "r": 6, "clear": 3}
DUCT = {"type": "rect", "x0": 16.5, "y0": 0, "x1": 27, "y1": 112, "clear": 1}
ROOMS = {
    "a den, joists across": {**DEN, "joists": [{"dir": "across", "first": 5.25, **SIXTEEN}]},
    "a den, joists along": {**DEN, "joists": [{"dir": "along", "first": 7, **SIXTEEN}]},
    "a den, I-joists at 19.2": {**DEN, "joists": [{"dir": "across", "oc": "19.2", "first": 3.5, "width": 2.5}]},
    "a den, a fan off its middle": {**DEN, "obstructions": [FAN]},
    "a den, a duct the length of it": {**DEN, "obstructions": [DUCT]},
    "a den, a post where a light would be": {
        **DEN,
        "obstructions": [{"type": "rect", "x0": 20.5, "y0": 21, "x1": 26, "y1": 26.5, "clear": 0.5}],
    },
    "media, speakers and joists": {**MEDIA, "joists": [{"dir": "across", "first": 6.5, **SIXTEEN}], "even_tol": 1},
    "media, a fan and a register": {
        **MEDIA,
        "obstructions": [
            {"type": "circle", "x": 111.125, "y": 79, "r": 10, "clear": 3},
            {"type": "rect", "x0": 60, "y0": 20, "x1": 74, "y1": 30, "clear": 2},
        ],
    },
    "media, too little between two speakers": {
        **MEDIA,
        "W": 60,
        "row_setback": {"min": 14, "max": 30, "pref": 14},
        "speaker": {**MEDIA["speaker"], "cutout_d": 16},
    },
    "a flat, joists across and a beam": {
        **FLAT,
        "joists": [{"dir": "across", "oc": 400, "first": 123.25, "width": 45}],
        "obstructions": [{"type": "rect", "x0": 2000, "y0": 640, "x1": 2160, "y1": 760, "clear": 10}],
        "speaker": {"cutout_d": 210, "clear": 12, "gaps": [2], "off_max": 0},
    },
    "a flat, joists the caps don't let it dodge": {
        **FLAT,
        "joists": [{"dir": "across", "oc": "406.4", "first": 0, "width": 38}],
        "uneven_max": 20,
    },
    "a hall, one row under a joist": {**HALL, "joists": [{"dir": "along", "first": 7, **SIXTEEN}]},
    "a hall, too few lights": {
        **HALL,
        "cols": 3,
        "spacing_max": 60,
        "joists": [{"dir": "across", "first": 2, **SIXTEEN}],
    },
    "tiles that mirror": LAY_IN,
    "tiles that don't": {**LAY_IN, "tile": {"px": 24, "py": 24, "ox": 5, "oy": 0}},
}
