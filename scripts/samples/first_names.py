"""First names by the years in which they were given and by origin, commonest first.

`F` and `M` only choose the list; nothing of it is printed in the register.
"""

from __future__ import annotations

from .draw import Draw, Weighted

# born up to and including this year: names given to girls, names given to boys
_GENERAL = {
    1939: (
        """Mary Betty Dorothy Helen Margaret Ruth Virginia Jean Frances Doris Shirley Barbara
        Lois Evelyn Alice Marjorie Irene Martha Florence Lillian Rose Louise Catherine Eleanor
        Gloria Norma June Phyllis Edith Marion Beverly Thelma Joan""",
        """Robert James John William Charles George Richard Joseph Donald Edward Thomas Frank
        Harold Paul Raymond Walter Jack Henry Kenneth Arthur Albert Eugene Ralph Harry Howard
        Louis Carl Clarence Earl Roy Stanley Norman""",
    ),
    1954: (
        """Mary Linda Barbara Patricia Susan Nancy Carol Sandra Sharon Judith Margaret Judy
        Betty Karen Donna Kathleen Carolyn Janet Elizabeth Dorothy Joyce Diane Janice Joan Shirley
        Brenda Virginia Marilyn Martha Pamela Bonnie Elaine Gloria Ann Christine""",
        """James Robert John William Richard David Charles Thomas Michael Ronald Larry Donald
        Joseph Gary George Kenneth Paul Edward Jerry Dennis Frank Daniel Raymond Roger Stephen
        Gerald Walter Harold Douglas Lawrence Terry Wayne Arthur Jack Carl""",
    ),
    1969: (
        """Mary Lisa Susan Karen Patricia Donna Linda Cynthia Sandra Deborah Kimberly Pamela
        Barbara Michelle Laura Lori Debra Elizabeth Sharon Brenda Nancy Teresa Cheryl Denise Maria
        Julie Kathleen Diane Tammy Theresa Robin Carol Tina Angela Christine Kelly Amy Jennifer
        Janet""",
        """Michael David John James Robert William Mark Richard Thomas Jeffrey Steven Joseph
        Timothy Kevin Scott Brian Charles Paul Daniel Christopher Kenneth Anthony Gregory Ronald
        Donald Gary Stephen Eric Edward Douglas Todd Patrick George Keith Larry Matthew""",
    ),
    1984: (
        """Jennifer Amy Melissa Michelle Kimberly Lisa Angela Heather Stephanie Nicole Jessica
        Elizabeth Rebecca Kelly Mary Christina Amanda Julie Sarah Laura Shannon Christine Tammy
        Tracy Karen Dawn Susan Andrea Tina Patricia Cynthia Lori Rachel April Maria Erin Megan
        Danielle Katherine""",
        """Michael Christopher Jason David James Matthew John Robert Brian Joseph Daniel
        William Joshua Eric Jeremy Ryan Jeffrey Timothy Richard Kevin Thomas Steven Mark Scott
        Andrew Anthony Jonathan Adam Justin Aaron Chad Benjamin Gregory Patrick Nathan Derek""",
    ),
    2009: (
        """Emily Jessica Ashley Sarah Samantha Hannah Madison Taylor Elizabeth Alexis Abigail
        Olivia Emma Megan Kayla Lauren Rachel Victoria Brianna Amanda Grace Alyssa Nicole Isabella
        Courtney Morgan Haley Anna Chloe Sydney Julia Natalie Kaitlyn Katherine Allison Zoe Paige
        Riley Faith Maya""",
        """Michael Matthew Jacob Christopher Joshua Andrew Tyler Nicholas Daniel Joseph Brandon
        Ryan William Ethan Zachary Alexander James Anthony Benjamin Samuel David John Logan Austin
        Nathan Dylan Kyle Justin Cody Christian Caleb Noah Connor Jordan Evan Mason Liam Owen
        Isaac Luke""",
    ),
}

_BY_ORIGIN = {
    "spanish": (
        """Maria Carmen Rosa Ana Guadalupe Juana Gloria Elena Teresa Silvia Isabel Patricia
        Leticia Yolanda Alejandra Gabriela Daniela Valeria Sofía Ximena Luz Marisol Beatriz
        Esperanza Mónica""",
        """Jose Juan Luis Carlos Jesus Miguel Francisco Antonio Manuel Jorge Pedro Rafael Ramon
        Ricardo Roberto Fernando Javier Alejandro Eduardo Sergio Diego José Andrés Raúl Ángel
        Mateo Santiago""",
    ),
    "portuguese": (
        "Maria Ana Fátima Lucia Helena Beatriz Natalia Gloria Isabel Mariana Conceição",
        "Jose Manuel Antonio Joao João Carlos Paulo Jorge Luis Fernando Tiago Duarte",
    ),
    "vietnamese": (
        "Lan Huong Mai Hoa Thu Linh Ngoc Phuong Thao Trang Kim Tuyet",
        "Minh Hung Tuan Dung Hai Long Quang Duc Thanh Khanh Son Bao",
    ),
    "chinese": (
        "Wei Li Mei Ying Xiu Yan Jing Hui Ling Fang Yu Min Grace Amy",
        "Wei Jian Ming Jun Hao Feng Qiang Bo Lei Kevin Jason Peng",
    ),
    "korean": (
        "Soo-jin Min-ji Eun-ju Hye-won Ji-hye Grace Esther Young Sun",
        "Min-ho Sung-ho Jin-woo Joon Daniel Young-soo Tae Paul",
    ),
    "indian": (
        "Priya Anita Sunita Kavita Neha Pooja Lakshmi Meera Asha Divya Rekha",
        "Raj Amit Sanjay Vijay Rahul Anil Suresh Arjun Ravi Nikhil Kiran",
    ),
    "arabic": (
        "Fatima Layla Nadia Mariam Rania Samira Huda Amal Yasmin Noor",
        "Omar Ahmed Mohammed Khaled Samir Tariq Youssef Hassan Elias George",
    ),
    "slavic": (
        "Anna Maria Katarzyna Elena Olga Ewa Irina Natalia Agnieszka Halina Vera",
        "Jan Piotr Andrzej Stanley Ivan Milan Tomasz Viktor Marek Alexander Pavel",
    ),
    "west_african": (
        "Ama Ngozi Aisha Fatou Abena Chioma Grace Mercy Comfort Mariama",
        "Kwame Kofi Chidi Emeka Ibrahim Mamadou Samuel Emmanuel Kwabena Tunde",
    ),
    "haitian": (
        "Marie Rose Nadège Mirlande Guerda Fabienne Islande Widline Régine",
        "Jean Pierre Emmanuel Wilner Frantz Ricardo Jacques Evens Stanley",
    ),
}

# a first name for anybody, whatever the origin of the last name; of a hundred people
_GENERAL_NAME_AMONG_OTHERS = 25

_GENERAL_TABLES = {
    year: tuple(Weighted.by_rank(names.split()) for names in pair)
    for year, pair in _GENERAL.items()
}
_ORIGIN_TABLES = {
    origin: tuple(Weighted.by_rank(names.split()) for names in pair)
    for origin, pair in _BY_ORIGIN.items()
}


def draw_first_name(draw: Draw, sex: str, birth_year: int, origin: str) -> str:
    """A first name as given around `birth_year`; `sex` is `F` or `M`."""
    side = 0 if sex == "F" else 1
    if origin in _ORIGIN_TABLES and not draw.chance(_GENERAL_NAME_AMONG_OTHERS):
        return draw.weighted(_ORIGIN_TABLES[origin][side])
    return draw.weighted(_GENERAL_TABLES[_years_of(birth_year)][side])


def draw_middle_name(draw: Draw, sex: str, birth_year: int, origin: str) -> str:
    """A middle name, an initial or nothing, in about the shares 66, 14 and 20 of a hundred."""
    share = draw.below(100)
    if share < 20:
        return ""
    name = draw_first_name(draw, sex, birth_year, origin)
    return name[0] if share < 34 else name


def _years_of(birth_year: int) -> int:
    return next((year for year in _GENERAL_TABLES if birth_year <= year), 2009)
