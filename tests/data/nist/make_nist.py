#!/usr/bin/env python3
"""Writes nist.json: data and certified values of NIST's Statistical Reference Datasets (StRD).

    /usr/bin/python3 tests/data/nist/make_nist.py

The sets and numbers are those of https://www.itl.nist.gov/div898/strd, typed in from copies of
NIST's files in other projects' tests, and confirmed here before they are written: the linear ones
by solving the normal equations in exact fractions, the nonlinear ones by Gauss-Newton steps in 60
decimal digits. Both must agree with the certified digits, so that a slip in data or values cannot
stay unseen.
"""
import json
import pathlib
from decimal import Decimal, getcontext
from fractions import Fraction

getcontext().prec = 60
D = Decimal


def numbers(text):
    return text.split()


def exp(x):
    return x.exp()


LINEAR = {
    "Norris": {
        "terms": "polynomial 1",
        "beta": "-0.262323073774029 1.00211681802045",
        "sd": "0.232818234301152 0.429796848199937E-03",
        "residual_sd": "0.884796396144373",
        "y": """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3
            448.9 10.8 557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2
            117.6 228.9 668.4 449.2 0.2""",
        "x": """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0
            447.5 11.6 556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1
            118.3 229.2 669.1 448.9 0.5""",
    },
    "Pontius": {
        "terms": "polynomial 2",
        "beta": "0.673565789473684E-03 0.732059160401003E-06 -0.316081871345029E-14",
        "sd": "0.107938612033077E-03 0.157817399981659E-09 0.486652849992036E-16",
        "residual_sd": "0.205177424076185E-03",
        "y": """.11019 .21956 .32949 .43899 .54803 .65694 .76562 .87487 .98292 1.09146 1.20001 1.30822
            1.41599 1.52399 1.63194 1.73947 1.84646 1.95392 2.06128 2.16844 .11052 .22018 .32939
            .43886 .54798 .65739 .76596 .87474 .98300 1.09150 1.20004 1.30818 1.41613 1.52408 1.63159
            1.73965 1.84696 1.95445 2.06177 2.16829""",
        "x": " ".join(str(150000 * (1 + i % 20)) for i in range(40)),
    },
    "NoInt1": {
        "terms": "through origin",
        "beta": "2.07438016528926",
        "sd": "0.165289256198347E-01",
        "residual_sd": "3.56753034006338",
        "y": " ".join(str(130 + i) for i in range(11)),
        "x": " ".join(str(60 + i) for i in range(11)),
    },
    "NoInt2": {
        "terms": "through origin",
        "beta": "0.727272727272727",
        "sd": "0.420827318078432E-01",
        "residual_sd": "0.369274472937998",
        "y": "3 4 4",
        "x": "4 5 6",
    },
    "Filip": {
        "terms": "polynomial 10",
        "beta": """-1467.48961422980 -2772.17959193342 -2316.37108160893 -1127.97394098372
            -354.478233703349 -75.1242017393757 -10.8753180355343 -1.06221498588947
            -0.670191154593408E-01 -0.246781078275479E-02 -0.402962525080404E-04""",
        "sd": """298.084530995537 559.779865474950 466.477572127796 227.204274477751
            71.6478660875927 15.2897178747400 2.23691159816033 0.221624321934227
            0.142363763154724E-01 0.535617408889821E-03 0.896632837373868E-05""",
        "residual_sd": "0.334801051324544E-02",
        "y": """0.8116 0.9072 0.9052 0.9039 0.8053 0.8377 0.8667 0.8809 0.7975 0.8162 0.8515 0.8766
            0.8885 0.8859 0.8959 0.8913 0.8959 0.8971 0.9021 0.909 0.9139 0.9199 0.8692 0.8872 0.89
            0.891 0.8977 0.9035 0.9078 0.7675 0.7705 0.7713 0.7736 0.7775 0.7841 0.7971 0.8329 0.8641
            0.8804 0.7668 0.7633 0.7678 0.7697 0.77 0.7749 0.7796 0.7897 0.8131 0.8498 0.8741 0.8061
            0.846 0.8751 0.8856 0.8919 0.8934 0.894 0.8957 0.9047 0.9129 0.9209 0.9219 0.7739 0.7681
            0.7665 0.7703 0.7702 0.7761 0.7809 0.7961 0.8253 0.8602 0.8809 0.8301 0.8664 0.8834
            0.8898 0.8964 0.8963 0.9074 0.9119 0.9228""",
        "x": """-6.860120914 -4.324130045 -4.358625055 -4.358426747 -6.955852379 -6.661145254
            -6.355462942 -6.118102026 -7.115148017 -6.815308569 -6.519993057 -6.204119983
            -5.853871964 -6.109523091 -5.79832982 -5.482672118 -5.171791386 -4.851705903
            -4.517126416 -4.143573228 -3.709075441 -3.499489089 -6.300769497 -5.953504836
            -5.642065153 -5.031376979 -4.680685696 -4.329846955 -3.928486195 -8.56735134
            -8.363211311 -8.107682739 -7.823908741 -7.522878745 -7.218819279 -6.920818754
            -6.628932138 -6.323946875 -5.991399828 -8.781464495 -8.663140179 -8.473531488
            -8.247337057 -7.971428747 -7.676129393 -7.352812702 -7.072065318 -6.774174009
            -6.478861916 -6.159517513 -6.835647144 -6.53165267 -6.224098421 -5.910094889
            -5.598599459 -5.290645224 -4.974284616 -4.64454848 -4.290560426 -3.885055584
            -3.408378962 -3.13200249 -8.726767166 -8.66695597 -8.511026475 -8.165388579
            -7.886056648 -7.588043762 -7.283412422 -6.995678626 -6.691862621 -6.392544977
            -6.067374056 -6.684029655 -6.378719832 -6.065855188 -5.752272167 -5.132414673
            -4.811352704 -4.098269308 -3.66174277 -3.2644011""",
    },
    "Longley": {
        "terms": "columns 6",
        "beta": """-3482258.63459582 15.0618722713733 -0.358191792925910E-01 -2.02022980381683
            -1.03322686717359 -0.511041056535807E-01 1829.15146461355""",
        "sd": """890420.383607373 84.9149257747669 0.334910077722432E-01 0.488399681651699
            0.214274163161675 0.226073200069370 455.478499142212""",
        "residual_sd": "304.854073561965",
        "y": """60323 61122 60171 61187 63221 63639 64989 63761 66019 67857 68169 66513 68655 69564
            69331 70551""",
        "x": """83.0 88.5 88.2 89.5 96.2 98.1 99.0 100.0 101.2 104.6 108.4 110.8 112.6 114.2 115.7 116.9
            234289 259426 258054 284599 328975 346999 365385 363112 397469 419180 442769 444546
            482704 502601 518173 554894
            2356 2325 3682 3351 2099 1932 1870 3578 2904 2822 2936 4681 3813 3931 4806 4007
            1590 1456 1616 1650 3099 3594 3547 3350 3048 2857 2798 2637 2552 2514 2572 2827
            107608 108632 109773 110929 112075 113270 115094 116219 117388 118734 120445 121950
            123366 125368 127852 130081
            1947 1948 1949 1950 1951 1952 1953 1954 1955 1956 1957 1958 1959 1960 1961 1962""",
    },
}
WAMPLER = {
    "Wampler1": ("1 1 1 1 1 1", "0 0 0 0 0 0", "0", None),
    "Wampler2": ("1 0.1 0.01 0.001 0.0001 0.00001", "0 0 0 0 0 0", "0", None),
    "Wampler3": (
        "1 1 1 1 1 1",
        """2152.32624678170 2363.55173469681 779.343524331583 101.475507550350 5.64566512170752
        0.112324854679312""",
        "2360.14502379268",
        """760 -2042 2111 -1684 3888 1858 11379 17560 39287 64382 113159 175108 273291 400186 581243
        811568 1121004 1506550 2002767 2611612 3369180""",
    ),
    "Wampler4": (
        "1 1 1 1 1 1",
        """215232.624678170 236355.173469681 77934.3524331583 10147.5507550350 564.566512170752
        11.2324854679312""",
        "236014.502379268",
        """75901 -204794 204863 -204436 253665 -200894 214131 -185192 221249 -138370 315911 -27644
        455253 197434 783995 608816 1370781 1303798 2205519 2408860 3444321""",
    ),
    "Wampler5": (
        "1 1 1 1 1 1",
        """21523262.4678170 23635517.3469681 7793435.24331583 1014755.07550350 56456.6512170752
        1123.24854679312""",
        "23601450.2379268",
        """7590001 -20479994 20480063 -20479636 25231365 -20476094 20489331 -20460392 18417449
        -20413570 20591111 -20302844 18651453 -20077766 21059195 -19666384 26348481 -18971402
        22480719 -17866340 10958421""",
    ),
}
for name, (beta, sd, residual_sd, y) in WAMPLER.items():
    if y is None:
        c = [Fraction(b) for b in beta.split()]
        y = " ".join(
            str(float(sum(ck * x**k for k, ck in enumerate(c)))) for x in range(21)
        )
    LINEAR[name] = {
        "terms": "polynomial 5",
        "beta": beta,
        "sd": sd,
        "residual_sd": residual_sd,
        "y": y,
        "x": " ".join(str(i) for i in range(21)),
    }

NONLINEAR = {
    "Misra1a": {
        "level": "lower",
        "beta": "238.94212918 5.5015643181E-04",
        "sd": "2.7070075241 7.2668688436E-06",
        "rss": "0.12455138894",
        "starts": ["500 0.0001", "250 0.0005"],
        "y": "10.07 14.73 17.94 23.93 29.61 35.18 40.02 44.82 50.76 55.05 61.01 66.40 75.47 81.78",
        "x": "77.6 114.9 141.1 190.8 239.9 289.0 332.8 378.4 434.8 477.3 536.8 593.1 689.1 760.0",
    },
    "Eckerle4": {
        "level": "higher",
        "beta": "1.5543827178 4.0888321754 451.54121844",
        "sd": "0.015408051163 0.046803020753 0.046800518816",
        "rss": "0.0014635887487",
        "starts": ["1 10 500", "1.5 5 450"],
        "y": """0.0001575 0.0001699 0.000235 0.0003102 0.0004917 0.000871 0.0017418 0.00464 0.0065895
            0.0097302 0.0149002 0.023731 0.0401683 0.0712559 0.1264458 0.2073413 0.2902366 0.3445623
            0.3698049 0.3668534 0.3106727 0.2078154 0.1164354 0.0616764 0.03372 0.0194023 0.0117831
            0.0074357 0.0022732 0.00088 0.0004579 0.0002345 0.0001586 0.0001143 0.000071""",
        "x": """400 405 410 415 420 425 430 435 436.5 438 439.5 441 442.5 444 445.5 447 448.5 450 451.5
            453 454.5 456 457.5 459 460.5 462 463.5 465 470 475 480 485 490 495 500""",
    },
    "BoxBOD": {
        "level": "higher",
        "beta": "213.80940889 0.54723748542",
        "sd": "12.354515176 0.10455993237",
        "rss": "1168.0088766",
        "starts": ["1 1", "100 0.75"],
        "y": "109 149 149 191 213 224",
        "x": "1 2 3 5 7 10",
    },
    "Rat43": {
        "level": "higher",
        "beta": "699.64151270 5.2771253025 0.75962938329 1.2792483859",
        "sd": "16.302297817 2.0828735829 0.19566123451 0.68761936385",
        "rss": "8786.4049080",
        "starts": ["100 10 1 1", "700 5 0.75 1.3"],
        "y": """16.08 33.83 65.80 97.20 191.55 326.20 386.87 520.53 590.03 651.92 724.93 699.56 689.96
            637.56 717.41""",
        "x": "1 2 3 4 5 6 7 8 9 10 11 12 13 14 15",
    },
    "MGH09": {
        "level": "higher",
        "beta": "0.19280693458 0.19128232873 0.12305650693 0.13606233068",
        "sd": "0.011435312227 0.19633220911 0.080842031232 0.090025542308",
        "rss": "3.0750560385E-04",
        "starts": ["25 39 41.5 39", "0.25 0.39 0.415 0.39"],
        "y": ".1957 .1947 .1735 .1600 .0844 .0627 .0456 .0342 .0323 .0235 .0246",
        "x": "4 2 1 .5 .25 .167 .125 .1 .0833 .0714 .0625",
    },
    "Thurber": {
        "level": "higher",
        "beta": """1288.1396800 1491.0792535 583.23836877 75.416644291 0.96629502864 0.39797285797
            0.049727297349""",
        "sd": """4.6647963344 39.571156086 28.698696102 5.5675370270 0.031333340687 0.014984928198
            0.0065842344623""",
        "rss": "5642.7082397",
        "starts": ["1000 1000 400 40 0.7 0.3 0.03", "1300 1500 500 75 1 0.4 0.05"],
        "y": """80.574 84.248 87.264 87.195 89.076 89.608 89.868 90.101 92.405 95.854 100.696 101.060
            401.672 390.724 567.534 635.316 733.054 759.087 894.206 990.785 1090.109 1080.914
            1122.643 1178.351 1260.531 1273.514 1288.339 1327.543 1353.863 1414.509 1425.208 1421.384
            1442.962 1464.350 1468.705 1447.894 1457.628""",
        "x": """-3.067 -2.981 -2.921 -2.912 -2.840 -2.797 -2.702 -2.699 -2.633 -2.481 -2.363 -2.322
            -1.501 -1.460 -1.274 -1.212 -1.100 -1.046 -0.915 -0.714 -0.566 -0.545 -0.400 -0.309
            -0.109 -0.103 0.010 0.119 0.377 0.790 0.963 1.006 1.115 1.572 1.841 2.047 2.200""",
    },
}


def curve(name, x, b):
    if name in ("Misra1a", "BoxBOD"):
        return b[0] * (1 - exp(-b[1] * x))
    if name == "Eckerle4":
        return b[0] / b[1] * exp(-(((x - b[2]) / b[1]) ** 2) / 2)
    if name == "Rat43":
        return b[0] / ((1 + exp(b[1] - b[2] * x)).ln() / b[3]).exp()
    if name == "MGH09":
        return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3])
    return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1 + x * (b[4] + x * (b[5] + x * b[6])))


def solved(matrix, columns):
    """Gauss-Jordan with the numbers' own arithmetic."""
    n = len(matrix)
    rows = [list(matrix[i]) + list(columns[i]) for i in range(n)]
    for i in range(n):
        pivot = max(range(i, n), key=lambda r: abs(rows[r][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        rows[i] = [v / rows[i][i] for v in rows[i]]
        for r in range(n):
            if r != i and rows[r][i] != 0:
                factor = rows[r][i]
                rows[r] = [a - factor * b for a, b in zip(rows[r], rows[i])]
    return [row[n:] for row in rows]


def normal_equations(design, y):
    p = len(design[0])
    square = [[sum(r[i] * r[j] for r in design) for j in range(p)] for i in range(p)]
    right = [sum(r[i] * v for r, v in zip(design, y)) for i in range(p)]
    unit = [[1 if i == j else 0 for j in range(p)] for i in range(p)]
    both = solved(square, [[right[i]] + unit[i] for i in range(p)])
    return [row[0] for row in both], [both[i][1 + i] for i in range(p)]


def same(got, certified, digits):
    """To `digits` digits, the last one give or take five."""
    got, certified = float(got), float(certified)
    return abs(got - certified) <= 5.0 * 10.0 ** (1 - digits) * abs(certified)


def confirm_linear(name, s):
    y = [Fraction(v) for v in numbers(s["y"])]
    x = [Fraction(v) for v in numbers(s["x"])]
    kind = s["terms"].split()
    if kind[0] == "polynomial":
        design = [[v**k for k in range(int(kind[1]) + 1)] for v in x]
    elif kind[0] == "columns":
        n = len(y)
        design = [[Fraction(1)] + [x[c * n + i] for c in range(int(kind[1]))] for i in range(n)]
    else:
        design = [[v] for v in x]
    beta, inverse = normal_equations(design, y)
    rss = sum((v - sum(b * r for b, r in zip(beta, row))) ** 2 for v, row in zip(y, design))
    variance = rss / (len(y) - len(beta))
    for got, want in zip(beta, numbers(s["beta"])):
        assert same(got, want, 14), (name, float(got), want)
    for got, want in zip(inverse, numbers(s["sd"])):
        got = (D(got.numerator) / D(got.denominator) * D(variance.numerator) / D(variance.denominator)).sqrt()
        assert same(got, want, 14) or float(want) == 0.0 and float(got) < 1e-9, (name, got, want)
    sd = (D(variance.numerator) / D(variance.denominator)).sqrt()
    assert same(sd, s["residual_sd"], 14) or float(s["residual_sd"]) == 0.0, (name, sd)


def confirm_nonlinear(name, s):
    y = [D(v) for v in numbers(s["y"])]
    x = [D(v) for v in numbers(s["x"])]
    b = [D(v) for v in numbers(s["beta"])]
    for _ in range(12):
        design = []
        for v in x:
            row = []
            for i in range(len(b)):
                h = abs(b[i]) * D("1e-20")
                up, down = list(b), list(b)
                up[i] += h
                down[i] -= h
                row.append((curve(name, v, up) - curve(name, v, down)) / (2 * h))
            design.append(row)
        residual = [v - curve(name, u, b) for u, v in zip(x, y)]
        step, inverse = normal_equations(design, residual)
        b = [bi + si for bi, si in zip(b, step)]
    rss = sum((v - curve(name, u, b)) ** 2 for u, v in zip(x, y))
    for got, want in zip(b, numbers(s["beta"])):
        assert same(got, want, 11), (name, got, want)
    assert same(rss, s["rss"], 11), (name, rss)
    for got, want in zip(inverse, numbers(s["sd"])):
        got = (got * rss / (len(y) - len(b))).sqrt()
        assert same(got, want, 11), (name, got, want)


def listed(text):
    return [float(v) for v in numbers(text)]


def main():
    out = {"linear": {}, "nonlinear": {}}
    for name, s in LINEAR.items():
        confirm_linear(name, s)
        out["linear"][name] = {
            "terms": s["terms"],
            "residual_sd": float(s["residual_sd"]),
            **{k: listed(s[k]) for k in ("beta", "sd", "x", "y")},
        }
    for name, s in NONLINEAR.items():
        confirm_nonlinear(name, s)
        out["nonlinear"][name] = {
            "level": s["level"],
            "rss": float(s["rss"]),
            "starts": [listed(v) for v in s["starts"]],
            **{k: listed(s[k]) for k in ("beta", "sd", "x", "y")},
        }
    path = pathlib.Path(__file__).with_name("nist.json")
    path.write_text(json.dumps(out, indent=0) + "\n")


if __name__ == "__main__":
    main()
