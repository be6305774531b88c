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
        self._strong = [set(" ".join(phrases).split()) for phrases in self._phrases]
        self._labels = [{plain(name) for name in _label_names(material)} for material in self._materials]
        self._weak = [set(plain(self._other_words(material)).split()) for material in self._materials]
        self._cas: dict[str, list[int]] = {}
        for place, material in enumerate(self._materials):
            self._cas.setdefault(material.cas, []).append(place)
        self._words = sorted(set().union(*self._strong, *self._weak))
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
        close: dict[str, dict[str, float]] = {}
        for words, missing in _tries(asked):
            places = self._places(said, words, missing, close)
            if places:
                return tuple(self._materials[place] for place in places[:limit])
        return ()

    def _places(self, said: str, asked: list[str], missing: int, close: dict[str, dict[str, float]]) -> list[int]:
        """Where the words are met, best first; as many of them as `missing` may be met by nothing."""
        for word in asked:
            if word not in close:
                close[word] = self._close_to(word)
        scores = {place: self._score(place, said, [close[word] for word in asked], missing)
                  for place in range(len(self._materials))}  # fmt: skip
        return sorted((place for place, score in scores.items() if score > 0.0), key=lambda place: -scores[place])

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

    def _score(self, place: int, said: str, meant: list[dict[str, float]], missing: int) -> float:
        """How well a material is met; 0 when too many words are met by nothing. A whole phrase counts most."""
        met = [self._met(place, close) for close in meant]
        if met.count(0.0) > missing or not any(met):
            return 0.0
        score = sum(met) / len(met)
        if said in self._phrases[place]:
            return score + 1.0
        if self._names[place].startswith(said) or said in self._labels[place]:
            score += 0.5
        return score + 0.1 * len(said) / (len(said) + len(self._names[place]))

    def _met(self, place: int, close: dict[str, float]) -> float:
        strong = max((close[known] for known in self._strong[place] if known in close), default=0.0)
        weak = max((close[known] for known in self._weak[place] if known in close), default=0.0)
        return max(strong, 0.5 * weak)
