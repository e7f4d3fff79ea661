"""Awkward cases that lie in the name itself: its letters, its parts, their order."""

from __future__ import annotations

import unicodedata

from . import twelve
from .case import Case, invented

NAME_CASES = (
    Case(
        "apostrophe",
        "O' and D' before the name, one with a curled apostrophe",
        (
            twelve.APOSTROPHE,
            invented("O'Hara", "Maureen", "1961-04-27", "57 Samphire Way", "Anne"),
            invented("D'Angelo", "Vincent", "1970-08-08", "23 Quarterdeck Terrace Unit 2", "Paul"),
            invented("O\u2019Malley", "Deirdre", "1988-06-17", "11 4th Street"),
        ),
    ),
    Case(
        "hyphen",
        "Two names joined by a hyphen, first or last",
        (
            invented("Whitlock-Baines", "Cordelia", "1984-09-03", "41 Mizzen Street", "Ann"),
            invented("Ortiz-Lindqvist", "Mateo", "1999-01-25", "36 Brine Street"),
            invented("Farr", "Anne-Louise", "1957-07-12", "12 Curlew Crescent"),
        ),
    ),
    Case(
        "particle",
        "A small word or a Mc or Mac before the name",
        (
            twelve.BY_BIRTH_DATE,
            invented("de la Cruz", "Rosario", "1969-10-02", "87 Brine Street"),
            invented("van der Hoek", "Pieter", "1948-12-30", "114 Samphire Way"),
            invented("von Stahl", "Ingrid", "1959-03-08", "74 Lantern Hill Road", "Elsa"),
            invented("al-Rashidi", "Yusuf", "1981-11-11", "18 Marram Avenue Unit 1"),
            invented("McCray", "Tessa", "1976-05-05", "48 Halyard Street", "Jo"),
            invented("MacCray", "Duncan", "1950-01-16", "5 Ropewalk", "Ross"),
            invented("Di Palma", "Gino", "1943-06-21", "33 Wheelhouse Road"),
        ),
    ),
    Case(
        "two-last-names",
        "Father's and mother's last names, without a hyphen",
        (
            invented("Salcedo Montoya", "Lucía", "1990-02-14", "60 Dovekie Drive", "Isabel"),
            invented("Rivas Olmedo", "Héctor", "1967-09-27", "31 Sextant Square Apt 2C"),
            invented("Peralta y Luna", "Consuelo", "1946-04-04", "24 Windlass Street"),
        ),
    ),
    Case(
        "accent",
        "Letters outside plain English",
        (
            invented("Muñiz", "José", "1974-12-12", "78 Brine Street", "Ángel"),
            invented("Sørbø", "Åse", "1955-05-17", "15 Binnacle Court"),
            invented("Müllenbach", "Jürgen", "1962-10-09", "27 Bellbuoy Drive"),
            invented("Łukasik", "Paweł", "1986-07-01", "53 Bellbuoy Drive"),
            invented("Lefèvre", "Renée", "1949-11-28", "7 Chandlery Lane"),
            invented("Dvořáková", "Eliška", "1993-03-23", "36 Marram Avenue Unit 2"),
        ),
    ),
    Case(
        "accent-taken-apart",
        "The accent is a character of its own after the letter",
        (
            invented(
                "Castañeda", unicodedata.normalize("NFD", "Zoë"), "1997-08-15", "70 Capstan Road"
            ),
        ),
    ),
    Case(
        "vietnamese-name",
        "Vietnamese names, with and without their accents",
        (
            invented("Nguyễn", "Hồng Ánh", "1965-01-31", "5 Sextant Square Apt 4A", "Thị"),
            invented("Tran", "Van Duc", "1958-06-06", "8 Sextant Square Apt 1B"),
        ),
    ),
    Case(
        "family-name-first",
        "Said family name first; the second was printed the other way round",
        (
            invented("Ouyang", "Zhiyuan", "1972-02-05", "79 Samphire Way"),
            invented("Meiling", "Xu", "1989-09-09", "5 Sextant Square Apt 2D"),
        ),
    ),
    Case(
        "one-letter-name",
        "A first, middle or last name of a single letter",
        (
            invented("O", "Min-seo", "1996-10-20", "2 Sextant Square Apt 3C"),
            invented("Ferris", "J", "1953-08-03", "29 Ropewalk"),
            invented("Varga", "E", "1980-12-24", "102 Wheelhouse Road", "T"),
        ),
    ),
    Case(
        "very-long-name",
        "More than forty letters in one name",
        (
            invented(
                "Featherstonhall-Cholmeroy-Ravensworthington",
                "Wilhelmina",
                "1954-04-29",
                "106 Lantern Hill Road",
                "Philippa Constance",
            ),
            invented(
                "Wickramarachchige Mudalige Senanayakegedara",
                "Dilhani",
                "1983-06-18",
                "29 Curlew Crescent",
            ),
        ),
    ),
    Case(
        "single-name",
        "One name in all: the first name is blank",
        (
            invented("Suryani", "", "1971-07-07", "540 Salt Pan Road"),
            invented("Bodhi", "", "1995-11-02", "17 Chandlery Lane"),
        ),
    ),
    Case(
        "known-by-a-short-name",
        "People who will give a shorter name than the one printed",
        (
            invented("Thackeray", "William", "1960-02-18", "30 Ropewalk", "Bruce"),
            invented("Ellery", "Margaret", "1942-09-06", "34 Binnacle Court", "Joan"),
            invented("Villalobos", "Francisco", "1975-04-22", "342 Old Ferry Road"),
        ),
    ),
    Case(
        "street-for-a-name",
        "A last name that is also a street of the precinct",
        (
            invented("Brine", "Howard", "1965-05-20", "36 Capstan Road", "Lee"),
            invented("Marram", "Julia", "1992-12-27", "12 Brine Street"),
        ),
    ),
)
