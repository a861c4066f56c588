//! Single misreadings of shape that the grammar repairs.

/// A shape: as printed, as read.
#[derive(Debug)]
pub(crate) struct Shape {
    printed: &'static str,
    read: &'static str,
    /// Where it may stand, and the second fact that the repair needs.
    fits: Fits,
}

/// What has to hold in the line besides the shape itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fits {
    Anywhere,
    /// Not inside a word: `Ex` in `EEx` is none.
    Word,
    /// At the end of its line: the X of conditions.
    End,
    /// The line speaks of gas: in group III a stroke may as well be a `t`.
    Gas,
    /// The line speaks of dust.
    Dust,
    /// The line carries an EPL of level b, read clean.
    LevelB,
}

const fn shape(printed: &'static str, read: &'static str, fits: Fits) -> Shape {
    Shape {
        printed,
        read,
        fits,
    }
}

/// The shapes. One is put into a plate at a time.
pub(crate) const SHAPES: &[Shape] = &[
    shape("Ex ", "EX ", Fits::Word),
    shape("Ex ", "Fx ", Fits::Word),
    shape("Ex ", "£x ", Fits::Word),
    shape("Ex ", "€x ", Fits::Word),
    shape("Ex ", "Ex", Fits::Word),
    shape("EEx ", "EEX ", Fits::Word),
    shape("EEx ", "E Ex ", Fits::Word),
    shape("EEx ", "EEx", Fits::Word),
    shape("AEx ", "AEX ", Fits::Word),
    shape("AEx ", "AFx ", Fits::Word),
    shape("AEx ", "A Ex ", Fits::Word),
    shape(" IIC T", " llC T", Fits::Gas),
    shape(" IIC T", " 1IC T", Fits::Gas),
    shape(" IIC T", " I1C T", Fits::Gas),
    shape(" IIC T", " |IC T", Fits::Gas),
    shape(" IIB T", " llB T", Fits::Gas),
    shape(" IIB T", " 11B T", Fits::Gas),
    shape(" IIB T", " II8 T", Fits::Gas),
    shape(" IIA T", " l1A T", Fits::Gas),
    shape(" IIC T", " IICT", Fits::Gas),
    shape(" IIB T", " IIBT", Fits::Gas),
    shape("IIIC T", "lllC T", Fits::Dust),
    shape("IIIC T", "1IIC T", Fits::Dust),
    shape("T4 Gb", "T4Gb", Fits::Anywhere),
    shape("T6 Gc", "T6Gc", Fits::Anywhere),
    shape("b IIC T4 Gb", "b IIC T4 Gh", Fits::Anywhere),
    shape("b IIC T5 Gb", "b IIC T5 G6", Fits::Anywhere),
    shape(" Gb", " 6b", Fits::Gas),
    shape("°C Db", "°C Ob", Fits::Dust),
    shape("°C Db", "°C 0b", Fits::Dust),
    shape("I Mb", "I M6", Fits::Anywhere),
    shape("°C Db", "*C Db", Fits::Anywhere),
    shape("°C Db", "ºC Db", Fits::Anywhere),
    shape("0 °C Db", "O °C Db", Fits::Dust),
    shape("0 °C Db", "0°C Db", Fits::Dust),
    shape("Ex ia II", "Ex la II", Fits::Gas),
    shape("Ex ia II", "Ex 1a II", Fits::Gas),
    shape("Ex ib II", "Ex 1b II", Fits::Gas),
    shape("Ex ib II", "Ex lb II", Fits::Gas),
    shape("Ex ic II", "Ex lc II", Fits::Gas),
    shape("Ex db II", "Ex d b II", Fits::LevelB),
    shape("Ex eb II", "Ex e b II", Fits::LevelB),
    shape("pxb", "p×b", Fits::Anywhere),
    shape("pxb", "Pxb", Fits::Anywhere),
    shape("pzc", "p2c", Fits::Anywhere),
    shape("pyb", "pvb", Fits::LevelB),
    shape("nA ", "NA ", Fits::Anywhere),
    shape("nA ", "na ", Fits::Anywhere),
    shape("nR ", "NR ", Fits::Anywhere),
    shape("op is", "op ls", Fits::Anywhere),
    shape("op is", "op1s", Fits::Anywhere),
    shape("op is", "opis", Fits::Anywhere),
    shape("op sh", "op sn", Fits::Anywhere),
    shape("Ex q ", "Ex g ", Fits::LevelB),
    shape("tD A21", "tD A2l", Fits::Anywhere),
    shape("tD A21", "tD AZ1", Fits::Anywhere),
    shape("tD A22", "tD A2Z", Fits::Anywhere),
    shape(" T4 G", " T 4 G", Fits::Anywhere),
    shape(" T4 G", " T.4 G", Fits::Anywhere),
    shape(" T1 G", " Tl G", Fits::Gas),
    shape(" T1 G", " TI G", Fits::Gas),
    shape(" T2 G", " TZ G", Fits::Gas),
    shape("...T", "..T", Fits::Anywhere),
    shape("...T", "…T", Fits::Anywhere),
    shape("...T", "-T", Fits::Anywhere),
    shape("Ga/Gb", "Ga / Gb", Fits::Anywhere),
    shape("Ga/Gb", "Ga|Gb", Fits::Anywhere),
    shape("[Ex ia", "(Ex ia", Fits::Anywhere),
    shape("[Ex ia", "|Ex ia", Fits::Anywhere),
    shape("+H2", "+HZ", Fits::Anywhere),
    shape("+H2", "+H₂", Fits::Anywhere),
    shape("+H2", " + H 2", Fits::Anywhere),
    shape("II 2 G", "ll 2 G", Fits::Anywhere),
    shape("II 1 G", "II1G", Fits::Anywhere),
    shape("II 2 G", "11 2 G", Fits::Anywhere),
    shape("II 2 G Ex", "II 2 6 Ex", Fits::Gas),
    shape("II 2 G Ex", "II 2 C Ex", Fits::Gas),
    shape("II 2 G Ex", "II Z G Ex", Fits::LevelB),
    shape("I M2", "I MZ", Fits::Anywhere),
    shape("I M2", "l M2", Fits::Anywhere),
    shape("CE 9999", "C E 9999", Fits::Anywhere),
    shape("CE 9999", "CE 99 99", Fits::Anywhere),
    shape("CE 0000", "CE O000", Fits::Anywhere),
    shape("UKCA", "UK CA", Fits::Anywhere),
    shape("ATEX", "ATFX", Fits::Anywhere),
    shape("ATEX", "AT EX", Fits::Anywhere),
    shape("UKEX", "UKFX", Fits::Anywhere),
    shape("IECEx", "lECEx", Fits::Anywhere),
    shape("IECEx", "1ECEX", Fits::Anywhere),
    shape("IECEx", "IEC Ex", Fits::Anywhere),
    shape(" X", " x", Fits::End),
    shape(" X", "×", Fits::End),
    shape("IP66", "lP66", Fits::Anywhere),
    shape("IP66", "IP-66", Fits::Anywhere),
    shape("IP66", "I P 66", Fits::Anywhere),
    shape("IP65", "IP6S", Fits::Anywhere),
    shape("-20 °C ≤", "−20 °C ≤", Fits::Anywhere),
    shape("-20 °C ≤", "-2O °C ≤", Fits::Anywhere),
    shape("+40 °C", "+4O °C", Fits::Anywhere),
    shape(" ≤ Ta ≤ ", " < Ta < ", Fits::Anywhere),
    shape(" ≤ Ta ≤ ", " s Ta s ", Fits::Anywhere),
    shape("Tamb", "T amb", Fits::Anywhere),
    shape("Zone 0, AEx ia", "Zone O, AEx ia", Fits::Anywhere),
    shape("Division 2", "Division II", Fits::Anywhere),
    shape("DIV 2", "DlV 2", Fits::Anywhere),
    shape("Class I, Division", "Class 1, Division", Fits::Anywhere),
    shape("CL I ", "CL l ", Fits::Anywhere),
];

impl Shape {
    /// The line with the shape misread, where it stands in it and may be repaired.
    pub(crate) fn misread(&self, line: &str) -> Option<String> {
        let at = line.find(self.printed)?;
        let gas = !line.contains("III") && !line.contains(" D ");
        let apart = !line[..at].ends_with(char::is_alphanumeric);
        let fits = match self.fits {
            Fits::Anywhere => true,
            Fits::Word => apart,
            Fits::End => line.ends_with(self.printed),
            Fits::Gas => gas,
            Fits::Dust => !gas,
            Fits::LevelB => ["Gb", "Db", "Mb"].iter().any(|level| line.ends_with(level)),
        };
        fits.then(|| line.replacen(self.printed, self.read, 1))
    }
}

impl std::fmt::Display for Shape {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?} as {:?}", self.printed, self.read)
    }
}
