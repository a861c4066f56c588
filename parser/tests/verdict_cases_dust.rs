//! Edge cases of the verdict for dust and under the North American codes.

mod verdict_support;

use verdict_support::hold;
use vetplate_parser::verdict::Outcome::{
    Conditional as C, Suitable as S, Undecided as U, Unsuitable as X,
};

#[test]
fn dust() {
    hold(&[
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db",
            "zone=21 DUST",
            U,
            "no IP code",
            "IEC 60079-31",
        ),
        (
            "Ex ib IIIC T120 °C Db",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-11",
        ),
        (
            "Ex tb IIIA T120 °C Db IP54",
            "zone=21 dust_group=IIIB cloud=400 layer=300 depth=5",
            X,
            "IIIA does not cover IIIB",
            "IEC 60079-0 4",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 cloud=400 layer=300 depth=5",
            S,
            "",
            "IIIC covers every dust",
        ),
        (
            "Ex tb IIIB T120 °C Db IP66",
            "zone=21 cloud=400 layer=300 depth=5",
            U,
            "dust group",
            "IEC 60079-14 5.5",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 depth=5",
            U,
            "dust layer",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=melts depth=5",
            C,
            "melts",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=300",
            U,
            "depth",
            "no stated default",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust_group=IIIB cloud=400 layer=300 depth=20 surface=130",
            S,
            "",
            "permitted for that depth",
        ),
        (
            "Ex ta IIIC T200 110 °C Da IP68",
            "zone=20 dust_group=IIIB cloud=420 layer=260 depth=5",
            S,
            "",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex ta IIIC T200 110 °C Da IP68",
            "zone=20 dust_group=IIIB cloud=420 layer=260 depth=250",
            U,
            "deeper than the 200 mm",
            "IEC 60079-14 5.6.3",
        ),
        (
            "Ex tD B21 IP66 T200 °C",
            "zone=21 dust_group=IIIB cloud=270 layer=300 depth=5",
            X,
            "cloud limit",
            "cloud rule holds for both practices",
        ),
        (
            "Ex tD A20 IP66 T100 °C",
            "zone=20 DUST",
            C,
            "zone 20",
            "IEC 60079-14 5.4",
        ),
        (
            "Ex tD A20 IP66 T100 °C",
            "zone=21 DUST",
            S,
            "",
            "IEC 60079-14 5.4",
        ),
        (
            "DIP A21 T120 °C IP54",
            "zone=21 DUST",
            X,
            "below IP6X",
            "IEC 61241",
        ),
        (
            "II 3 D T125 °C IP66",
            "zone=22 dust_group=IIIC cloud=530 layer=280 depth=5",
            X,
            "category 3 D",
            "EN 50281-1-2",
        ),
        (
            "II 2 D T125 °C IP66",
            "zone=22 dust_group=IIIC cloud=530 layer=280 depth=5",
            S,
            "",
            "EN 50281-1-2",
        ),
        (
            "Ex tb IIIC T120 °C Db IP66",
            "zone=21 dust=flour depth=5",
            C,
            "lower end",
            "table alone is conditional",
        ),
        (
            "Ex tb IIIC T240 °C Db IP66",
            "zone=21 dust=flour depth=5",
            X,
            "225 °C",
            "never the upper end",
        ),
        (
            "Ex db IIC T4 Gb\nEx tb IIIC T120 °C Db IP66",
            "zone=1+21 gas=ethanol DUST",
            C,
            "gas and dust together",
            "hybrid",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=1+21 gas=ethanol DUST",
            X,
            "the place has dust",
            "worst of the two",
        ),
        ("Ex h IIIC T125°C Db", "zone=21 DUST", S, "", "ISO 80079-36"),
    ]);
}

#[test]
fn north_america() {
    hold(&[
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=Class_I,_Division_2 group=D ignition=280",
            S,
            "",
            "NEC 500",
        ),
        (
            "Class I, Groups C, D T4",
            "zone=Class_I,_Division_1 group=D ignition=280",
            S,
            "",
            "no division: both",
        ),
        (
            "Class I, Division 1, Group A T4",
            "zone=Class_I,_Division_1 gas=hydrogen group=B",
            X,
            "group B",
            "A is not enough for B",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            S,
            "",
            "NEC 500.8(D)",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3A",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "165 °C",
            "NEC 500.8(D)",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 dust=grain group=G layer=220",
            S,
            "",
            "lower of cloud and layer",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3B",
            "zone=Class_II,_Division_1 dust=grain group=G cloud=450",
            C,
            "lower end in tables",
            "lower of cloud and layer",
        ),
        (
            "Class II, Division 1, Groups E, F, G T3A",
            "zone=Class_II,_Division_1 group=E cloud=400 layer=300",
            S,
            "",
            "metal does not carbonise",
        ),
        (
            "Class II, Division 1, Groups E, F T3B",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "group G",
            "NEC 500.6",
        ),
        (
            "Class I, Division 1, Groups A, B, C, D T4",
            "zone=Class_II,_Division_1 group=G cloud=400 layer=300",
            X,
            "the place has dust",
            "NEC 500.5",
        ),
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=1 group=IIA ignition=400",
            X,
            "Division 2",
            "NEC 505.20",
        ),
        (
            "Class I, Division 2, Groups A, B, C, D T4",
            "zone=2 group=IIA ignition=400",
            C,
            "only under the NEC",
            "NEC 505.20",
        ),
        (
            "Class I, Division 1, Groups A, B, C, D T4",
            "zone=0 group=IIA ignition=400",
            X,
            "intrinsically safe",
            "NEC 505.20",
        ),
        (
            "Class I, Division 1, Group D T4",
            "zone=1 gas=hydrogen group=IIC ignition=560",
            X,
            "group B",
            "NEC 505.20",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=1 group=IIB ignition=400",
            C,
            "North American",
            "approval not shown",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=0 group=IIB ignition=400",
            X,
            "not enough",
            "NEC 505.9",
        ),
        (
            "Class I, Zone 1, AEx db IIC T4 Gb",
            "zone=Class_I,_Division_2 gas=propane group=D",
            C,
            "Division 2",
            "zone 1 equipment in Division 2",
        ),
        (
            "Class I, Zone 0, AEx ia IIA T4 Ga",
            "zone=Class_I,_Division_1 gas=hydrogen group=B",
            X,
            "IIA does not cover IIC",
            "NEC 505.6",
        ),
        (
            "Ex db IIC T4 Gb",
            "zone=Class_I,_Division_1 group=D ignition=400",
            X,
            "not accepted in Division 1",
            "NEC 501.5",
        ),
        (
            "Ex ec IIC T4 Gc",
            "zone=Class_I,_Division_2 group=D ignition=400",
            U,
            "no approval",
            "doors open under NEC only",
        ),
    ]);
}

#[test]
fn types_of_north_america() {
    hold(&[
        (
            "NI Class I, Groups A, B, C, D T4",
            "zone=Class_I,_Division_1 group=D ignition=280",
            X,
            "not for Division 1",
            "NEC 500.7, nonincendive: Division 2 (memory)",
        ),
        (
            "NI Class I, Groups A, B, C, D T4",
            "zone=Class_I,_Division_2 group=D ignition=280",
            S,
            "",
            "NEC 500.7, nonincendive: Division 2 (memory)",
        ),
        (
            "NI Class I, Division 1, Groups A, B, C, D T4",
            "zone=Class_I,_Division_2 group=D ignition=280",
            U,
            "not one of the printed class and division",
            "NEC 500.7, nonincendive: Division 2 (memory)",
        ),
        (
            "AIS / I / 1 / ABCD / T4",
            "zone=Class_I,_Division_1 group=D ignition=280",
            X,
            "",
            "NEC 504.10, associated apparatus (memory)",
        ),
        (
            "IS / I,II,III / 1 / ABCDEFG / T4",
            "zone=Class_I,_Division_1 group=B ignition=280",
            S,
            "",
            "NEC 500.7, intrinsic safety (memory)",
        ),
        (
            "IS / I / 1 / ABCD / T4",
            "zone=0 gas=propane group=IIA ignition=450",
            C,
            "only under the NEC",
            "NEC 505.20, intrinsically safe for Division 1 (memory)",
        ),
        (
            "Ex ia Class I, Division 1, Groups A, B, C, D T4",
            "zone=0 gas=propane group=IIA ignition=450",
            C,
            "only under the NEC",
            "NEC 505.20, intrinsically safe for Division 1 (memory)",
        ),
        (
            "XP / I / 1 / BCD / T5",
            "zone=0 gas=propane group=IIA ignition=450",
            X,
            "intrinsically safe",
            "NEC 505.20, intrinsically safe for Division 1 (memory)",
        ),
        (
            "S / II,III / 2 / FG / T3B",
            "zone=Class_II,_Division_2 group=G cloud=400 layer=300",
            U,
            "special protection",
            "what it is stands in the certificate (practice)",
        ),
    ]);
}
