"""Last names with weights, by the origin that goes with their first names.

The weights are rough: a few names are very common, many are seldom, and a long tail
is put together from two halves. They are no copy of any published list.
"""

from __future__ import annotations

from typing import NamedTuple

from .draw import Draw, Weighted


class LastName(NamedTuple):
    text: str
    origin: str


# name:weight, commonest first; names without a weight are seldom
_COMMON = """
Smith:980 Johnson:740 Williams:640 Brown:660 Jones:620 Miller:560 Davis:520 Wilson:400 Anderson:390
Taylor:370 Thomas:350 Moore:340 Martin:330 Jackson:320 Thompson:320 White:310 Harris:290 Clark:270
Lewis:250 Robinson:250 Walker:240 Young:230 Allen:225 King:220 Wright:215 Scott:210 Hill:205
Green:200 Adams:200 Nelson:195 Baker:195 Hall:190 Campbell:180 Mitchell:180 Carter:175 Roberts:170
Phillips:160 Evans:155 Turner:155 Parker:150 Collins:145 Edwards:145 Stewart:140 Morris:135
Murphy:135 Cook:130 Rogers:125 Morgan:125 Cooper:120 Peterson:120 Reed:115 Bailey:115 Kelly:115
Howard:110 Cox:105 Ward:105 Richardson:105 Watson:100 Brooks:100 Wood:98 James:96 Bennett:96 Gray:94
Hughes:90 Price:90 Myers:88 Long:86 Foster:86 Sanders:84 Ross:82 Powell:80 Sullivan:80 Russell:78
Jenkins:76 Perry:76 Butler:75 Barnes:74 Fisher:72 Henderson:70 Coleman:70 Simmons:68 Patterson:66
Jordan:65 Reynolds:64 Hamilton:63 Graham:62 Griffin:60 Wallace:60 West:58 Cole:57 Hayes:57 Bryant:56
Gibson:55 Ellis:55 Stevens:54 Murray:53 Ford:52 Marshall:52 Owens:50 McDonald:50 Harrison:50
Kennedy:48 Wells:47 Woods:46 Henry:45 Webb:45 Tucker:44 Freeman:43 Burns:42 Crawford:42 Simpson:41
Porter:41 Hunter:40 Gordon:40 Shaw:39 Snyder:38 Mason:38 Dixon:37 Hunt:36 Hicks:36 Holmes:36
Palmer:35 Wagner:35 Black:34 Robertson:34 Boyd:33 Stone:33 Rose:33 Fox:32 Warren:32 Mills:32
Meyer:31 Rice:31 Schmidt:30 Daniels:30 Ferguson:30 Nichols:30 Stephens:29 Weaver:29 Ryan:29
Gardner:28 Payne:28 Dunn:28 Kelley:28 Spencer:28 Hawkins:27 Arnold:27 Hansen:26 Peters:26 Hart:26
Bradley:25 Knight:25 Elliott:25 Carroll:25 Hudson:24 Cunningham:24 Duncan:24 Armstrong:24 Berry:24
Andrews:23 Johnston:23 Ray:23 Lane:23 Riley:23 Carpenter:22 Perkins:22 Matthews:22 Lawrence:22
Larson:20 Olson:20 Jensen:18 Hoffman:20 Schneider:18 Weber:18 Becker:15 Schultz:15 Keller:15
"""

# an underscore stands for a space
_SELDOM = """
Abernathy Albrecht Amato Applegate Arsenault Ashdown Auclair Babcock Bachman Bagley Barlow
Bartlett Beaulieu Bellamy Benedetti Bianchi Birdsall Blackwood Blaisdell Bouchard Brandt Brannigan
Brewster Bristow Brodeur Buckley Calloway Caputo Carmichael Castellano Chadwick Chisholm Colby
Conti Corrigan Costello Crandall Cromwell Crowley Dahl Daigle D'Amico Delaney DeLuca Desmond
DiMarco Dombrowski Donahue Doyle Drummond Dubois Duffy Dyer Easterbrook Eastman Eckhardt Ellsworth
Emerson Engel Esposito Fairbanks Fallon Farrington Ferrara Fitzgerald Fitzpatrick Flanagan
Fontaine Forsythe Frost Gagnon Gallagher Garrity Gauthier Geiger Giordano Goldberg Goodwin Grady
Greco Greenberg Grimes Haas Hackett Haggerty Halvorsen Hancock Hanley Hargrove Hartmann Hathaway
Hawthorne Healy Hendricks Herzog Hollister Holt Horgan Horowitz Huber Ingram Isaacson Jacobsen
Jarvis Jorgensen Kaplan Kavanagh Keane Keating Kessler Kilpatrick Kimball Kirkland Klein Knudsen
Koch Kramer Krause Lachance Lafferty Lambert Langley Lapointe Larkin Leavitt Leblanc Lehmann
Levesque Levine Lindgren Lindquist Lombardi Lorenz Lowell Lundberg Lynch MacDonald MacKenzie
Magnuson Mahoney Malone Mancini Marchetti Marino McAllister McCarthy McGowan McGrath McIntyre
McKenna McLaughlin McNamara Mercier Michaud Monahan Moretti Morse Mulligan Nadeau Nolan Norquist
Nygaard O'Brien O'Connell O'Connor O'Donnell O'Keefe O'Rourke Osgood Ostrowski Ouellette Overton
Pagano Paquette Pelletier Pendleton Pickering Plante Prescott Proulx Quigley Quinlan Radcliffe
Rafferty Rasmussen Redmond Reinhardt Ricci Rinaldi Rosenberg Rossi Rourke Russo Sandberg Santoro
Sawyer Schaefer Schroeder Seaver Shapiro Sheehan Sherwood Silverman Sinclair Skinner Sorensen
Spaulding St._Clair St._Pierre Stark Steiner Strand Sturgis Swanson Sweeney Talbot Teague Thayer
Theriault Thibault Tierney Tobin Townsend Tremblay Tully Underwood Upton Vaillancourt VanDyke
Van_Houten Varney Vaughn Vogel Wadsworth Walsh Weinstein Weiss Wentworth Whalen Wheeler Whitaker
Whitmore Whittier Wilcox Wilder Winslow Winthrop Wolfe Woodbury Wyatt Yates Yeager Zeller
Zimmerman
"""

_FIRST_HALVES = """
Ash Bar Black Bram Brock Bur Cald Car Chal Clay Crow Dal Dun Eg El Farn Gar Gold Green Had Hal
Hamp Har Hay Hazel Kel Kings Lang Lin Lock Mar Mel Mid Nor Oak Pen Pem Rad Red Rock Rush Sel
Shel Stan Stock Sut Thorn Wal War Whit Win Wood
"""
_SECOND_HALVES = """
bourne brook bury by combe cott croft dale den field ford ham hurst ley low man mere more ridge
shaw stead stone ton well wick worth
"""

_BY_ORIGIN = {
    "spanish": """Garcia Rodriguez Martinez Hernandez Lopez Gonzalez Perez Sanchez Ramirez
        Torres Rivera Flores Gomez Diaz Reyes Morales Cruz Ortiz Gutierrez Chavez Ramos Ruiz
        Alvarez Mendoza Vasquez Castillo Jimenez Moreno Romero Herrera Medina Aguilar Vargas
        Castro Guzman Fernandez Muñoz Salazar Soto Delgado Rios Vega Acosta Estrada Ibarra Zamora
        Quintero Arroyo Figueroa Núñez Cordero Marín Espinosa Benítez""",
    "portuguese": """Silva Santos Pereira Costa Oliveira Medeiros Furtado Amaral Sousa Rodrigues
        Correia Cabral Arruda Tavares Raposo Conceição""",
    "vietnamese": "Nguyen Tran Le Pham Huynh Vo Dang Bui Do Ngo Duong",
    "chinese": "Chen Wang Li Liu Zhang Lin Huang Wu Yang Zhao Wong Chan Cheung Leung Zhou",
    "korean": "Kim Lee Park Choi Jung Kang Yoon Cho Shin",
    "indian": "Patel Shah Singh Kumar Reddy Gupta Sharma Desai Iyer Nair Mehta Joshi",
    "arabic": "Haddad Khoury Nasser Mansour Hamdan Saleh Khalil Aziz Farah Issa",
    "slavic": """Kowalski Nowak Wisniewski Novak Petrov Kovac Horvath Zielinski Wójcik
        Marchenko Popov""",
    "west_african": "Mensah Okafor Diallo Adeyemi Owusu Boateng Okoro Asante Nwosu Traore",
    "haitian": "Pierre Jean-Baptiste Joseph Louis Desir Charles Toussaint Augustin Jean-Louis",
}


def _common() -> list[tuple[LastName, int]]:
    pairs = (word.split(":") for word in _COMMON.split())
    return [(LastName(name, "general"), int(weight)) for name, weight in pairs]


def _put_together() -> list[LastName]:
    return [
        LastName(first + second, "general")
        for first in _FIRST_HALVES.split()
        for second in _SECOND_HALVES.split()
        if first[-1] != second[0]  # no Thornnden, no Hallley
    ]


_COMMON_TABLE = Weighted(_common())
_SELDOM_NAMES = tuple(LastName(name.replace("_", " "), "general") for name in _SELDOM.split())
_PUT_TOGETHER = tuple(_put_together())
_ORIGIN_TABLES = {
    origin: Weighted.by_rank([LastName(name, origin) for name in names.split()])
    for origin, names in _BY_ORIGIN.items()
}

# of a hundred households
_KINDS = Weighted(
    [
        ("common", 50),
        ("seldom", 16),
        ("put_together", 9),
        ("spanish", 10),
        ("portuguese", 3),
        ("vietnamese", 2),
        ("chinese", 2),
        ("korean", 1),
        ("indian", 2),
        ("arabic", 1),
        ("slavic", 2),
        ("west_african", 1),
        ("haitian", 1),
    ]
)


def draw_last_name(draw: Draw, origin: str | None = None) -> LastName:
    """A last name of any origin, or of `origin` (`general`, `spanish`, …) where it is given."""
    kind = draw.weighted(_KINDS)
    while origin is not None and _origin_of_kind(kind) != origin:
        kind = draw.weighted(_KINDS)
    if kind == "common":
        return draw.weighted(_COMMON_TABLE)
    if kind == "seldom":
        return draw.pick(_SELDOM_NAMES)
    if kind == "put_together":
        return draw.pick(_PUT_TOGETHER)
    return draw.weighted(_ORIGIN_TABLES[kind])


def _origin_of_kind(kind: str) -> str:
    return kind if kind in _ORIGIN_TABLES else "general"
