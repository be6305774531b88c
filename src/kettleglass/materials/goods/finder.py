"""Finds materials by what people call them, with accents, cases and slips of the pen forgiven."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher
from heapq import nsmallest

from kettleglass.materials.material import Material

_ALIKE = 0.74
"""Likeness of two words (difflib ratio) from which one is taken for a slip of the other."""
_TRIED = 12
"""Words that are compared letter by letter; the others share too few pairs of letters."""
_JOINED = 4
"""Words up to which neighbours are tried as one (“coco nut oil”)."""
_MOST_WORDS = 6
_FILLER = frozenset(("a", "an", "and", "of", "or", "the", "for", "with", "in", "percent"))
_KIND_WORDS = {
    "fat": "fats oils oil butter", "fatty acid": "fats acids", "alkali": "lye alkalis caustic", "amine": "amines",
    "spirit": "alcohol alcohols spirits solvent", "polyol": "solvent glycol", "sugar": "sugars syrup syrups",
    "acid": "acids", "salt": "salts", "chelator": "chelators chelant sequestrant", "whitener": "whiteners opacifier",
    "fragrance": "scent scents perfume", "dye": "dyes colour color pigment colorant", "made": "own",
}  # fmt: skip
_CAS = re.compile(r"\d{2,7}-\d{2}-\d")


def plain(text: str) -> str:
    """Small letters without accents, words and numbers parted by single spaces."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return " ".join(re.findall(r"[a-z0-9]+(?:[.,]\d+)?", bare))


def _pairs(word: str) -> frozenset[str]:
    padded = f"^{word}$"
    return frozenset(padded[i : i + 2] for i in range(len(padded) - 1))


def _tries(asked: list[str]) -> Iterator[tuple[list[str], int]]:
    """The words as they are, then neighbours written as one, then half of them; and how many may be met by nothing."""
    yield asked, 0
    if 1 < len(asked) <= _JOINED:
        for i in range(len(asked) - 1):
            yield [*asked[:i], asked[i] + asked[i + 1], *asked[i + 2 :]], 0
    if len(asked) > 1:
        yield asked, len(asked) // 2


def _label_names(material: Material) -> tuple[str, ...]:
    names = material.names
    return tuple(filter(None, (names.eu, names.us, names.sodium_soap, names.potassium_soap, names.tea_soap)))


class Finder:
    """An index over materials; made once, asked often."""

    def __init__(self, materials: Iterable[Material]) -> None:
        self._materials = tuple(materials)
        self._names = [plain(material.name) for material in self._materials]
        self._phrases = [
            {plain(text) for text in (material.name, material.id, *material.aliases)} for material in self._materials
        ]
        self._labels = [{plain(name) for name in _label_names(material)} for material in self._materials]
        self._places_of: dict[str, dict[int, float]] = {}
        for place, material in enumerate(self._materials):
            for word in plain(self._other_words(material)).split():
                self._places_of.setdefault(word, {})[place] = 0.5
            for word in " ".join(self._phrases[place]).split():
                self._places_of.setdefault(word, {})[place] = 1.0
        self._cas: dict[str, list[int]] = {}
        for place, material in enumerate(self._materials):
            self._cas.setdefault(material.cas, []).append(place)
        self._words = sorted(self._places_of)
        self._with_pair: dict[str, list[str]] = {}
        for word in self._words:
            if len(word) > 3:
                for pair in _pairs(word):
                    self._with_pair.setdefault(pair, []).append(word)

    @staticmethod
    def _other_words(material: Material) -> str:
        labels = " ".join(_label_names(material))
        return f"{material.origin} {labels} {material.kind} {_KIND_WORDS.get(material.kind, '')}"

    def find(self, text: str, limit: int) -> tuple[Material, ...]:
        """The materials that the text can mean, best first, at most `limit`."""
        text = text[:200]
        number = _CAS.search(text)
        if number:
            return tuple(self._materials[place] for place in self._cas.get(number.group(), [])[:limit])
        said = plain(text)
        asked = ([word for word in said.split() if word not in _FILLER] or said.split())[:_MOST_WORDS]
        if not asked:
            return self._materials[:limit]
        met: dict[str, dict[int, float]] = {}
        for words, missing in _tries(asked):
            places = self._places(said, words, missing, met)
            if places:
                return tuple(self._materials[place] for place in places[:limit])
        return ()

    def _places(self, said: str, asked: list[str], missing: int, met: dict[str, dict[int, float]]) -> list[int]:
        """Where the words are met, best first; as many of them as `missing` may be met by nothing."""
        for word in asked:
            if word not in met:
                met[word] = self._met(word)
        found = Counter(place for word in asked for place in met[word])
        scores = {
            place: self._score(place, said, sum(met[word].get(place, 0.0) for word in asked) / len(asked))
            for place, count in found.items() if len(asked) - count <= missing
        }  # fmt: skip
        return sorted(scores, key=lambda place: (-scores[place], place))

    def _met(self, word: str) -> dict[int, float]:
        """How well each material is met by one word of the question (0-1); those not met are left out."""
        best: dict[int, float] = {}
        for known, sure in self._close_to(word).items():
            for place, weight in self._places_of.get(known, {}).items():
                if sure * weight > best.get(place, 0.0):
                    best[place] = sure * weight
        return best

    def _close_to(self, word: str) -> dict[str, float]:
        """Words of the index that this word can mean, with how surely (0-1)."""
        close = {known: 0.9 if known.startswith(word) else 0.6 for known in self._words
                 if known.startswith(word) or (len(word) > 3 and word in known)}  # fmt: skip
        close[word] = 1.0
        if len(word) > 3 and not word.isdigit():
            close |= {known: sure for known, sure in self._slips(word) if sure > close.get(known, 0.0)}
        return close

    def _slips(self, word: str) -> list[tuple[str, float]]:
        shared = Counter(known for pair in _pairs(word) for known in self._with_pair.get(pair, ()))
        near = [(-count, abs(len(known) - len(word)), known) for known, count in shared.items()
                if abs(len(known) - len(word)) <= 2]  # fmt: skip
        tried = ((known, SequenceMatcher(None, word, known).ratio()) for _, _, known in nsmallest(_TRIED, near))
        return [(known, 0.8 * ratio) for known, ratio in tried if ratio >= _ALIKE]

    def _score(self, place: int, said: str, mean: float) -> float:
        """How well a material is met: a whole phrase counts more than its words."""
        if said in self._phrases[place]:
            return mean + 1.0
        if self._names[place].startswith(said) or said in self._labels[place]:
            mean += 0.5
        return mean + 0.1 * len(said) / (len(said) + len(self._names[place]))
