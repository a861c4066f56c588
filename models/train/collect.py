"""Collects fonts and words from installed Debian packages.

    python3 models/train/collect.py FOLDER

writes FOLDER/training and FOLDER/held-out (fonts; no family is in both) and FOLDER/words.
packages.txt names the packages; `xargs apt-get install --no-install-recommends < packages.txt`
installs them, `pip install fonttools` what cuts the fonts down to the alphabet. Which families are held out depends on their names alone.
Files in which nobody can tell what is written are in neither folder: glyphs.py has the rule.
"""

import pathlib
import random
import sys
import zlib

from fontTools import subset

import glyphs

# Fonts of other scripts, of symbols, and display faces that no plate carries.
SKIP = ("emoji", "symbol", "math", "music", "dingbat", "znamenny", "barcode", "icon", "outline", "initial",
        "abecedario", "ecolier", "isabella", "z003", "d050000l", "emerita", "dkg", "sticks", "daniel",
        "nonunicode", "integrals", "stixsize")
FEW = 6  # files a family at most
WORDS = 5000  # words a language
LANGUAGES = (
    "american-english ngerman french italian spanish polish swedish danish bokmaal norsk dutch portuguese"
).split()


def family(path):
    """What stands before the style in a file's name, as in fixtures/src/lines/faces.rs."""
    name = path.stem.replace("_", "-").split("-")[0]
    return "".join(c for c in name if c.isalnum())[:9].lower()


def latin(path):
    stem = path.stem.lower()
    if any(word in stem for word in SKIP):
        return False
    if stem.startswith("noto"):
        return path.stem.split("-")[0] in ("NotoSans", "NotoSerif", "NotoSansMono", "NotoSansDisplay", "NotoMono")
    return True


def is_held_out(name):
    return zlib.crc32(name.encode()) % 9 == 0


def reduced(source, to):
    """Writes the font with the alphabet's characters alone; whether it could be read, and texts in it can."""
    alphabet = (pathlib.Path(__file__).parent / "alphabet.txt").read_text(encoding="utf8").strip("\n")
    options = subset.Options(hinting=False, layout_features=["kern"], name_IDs=[], notdef_outline=True)
    try:
        with subset.load_font(source, options) as font:
            subsetter = subset.Subsetter(options)
            subsetter.populate(text=alphabet)
            subsetter.subset(font)
            if reason := glyphs.cannot_be_told(font):
                print(f"{source.name}: {reason}", file=sys.stderr)
                return 0
            subset.save_font(font, to, options)
    except Exception as error:  # a font that cannot be read is none
        print(f"{source}: {error}", file=sys.stderr)
        return 0
    return 1


def main(folder):
    files = {}
    for path in sorted(pathlib.Path("/usr/share/fonts").rglob("*")):
        if path.suffix.lower() in (".ttf", ".otf") and latin(path) and path.stat().st_size < 3_000_000:
            files.setdefault(family(path), {}).setdefault(path.stem, path)
    counts = {"training": 0, "held-out": 0}
    for name, members in sorted(files.items()):
        split = "held-out" if is_held_out(name) else "training"
        to = folder / split
        to.mkdir(parents=True, exist_ok=True)
        chosen = sorted(members)
        if len(chosen) > FEW:
            chosen = sorted(random.Random(name).sample(chosen, FEW))
        for stem in chosen:
            counts[split] += reduced(members[stem], to / members[stem].name)
    words = folder / "words"
    words.mkdir(parents=True, exist_ok=True)
    for language in LANGUAGES:
        source = pathlib.Path("/usr/share/dict") / language
        if source.exists():
            text = source.read_bytes()
            try:
                text = text.decode("utf8")
            except UnicodeDecodeError:
                text = text.decode("latin1")
            lines = sorted(set(text.split()))
            chosen = sorted(random.Random(language).sample(lines, min(WORDS, len(lines))))
            (words / language).write_text("\n".join(chosen) + "\n", encoding="utf8")
    print(f"{len(files)} families; {counts['training']} training and {counts['held-out']} held-out files")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
