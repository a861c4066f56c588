//! What the bundled table says of a gas, vapour or dust.

use super::Number;
use serde::Serialize;
use utoipa::ToSchema;
use vetplate_parser::marking::TClass;
use vetplate_parser::substance::{
    Dust, Hit, Kind, Range, Substance, Value, dusts, find, gases, nearest,
};

/// Rows of the table.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Substances)]
pub struct SubstancesDto {
    /// Nearest first; without a query, all: gases by CAS number, then dusts by name.
    pub substances: Vec<SubstanceDto>,
    /// What the table is good for.
    pub note: &'static str,
}

/// One gas, vapour or dust.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(tag = "kind", rename_all = "lowercase")]
#[schema(as = Substance)]
pub enum SubstanceDto {
    /// Gas or vapour.
    Gas(GasDto),
    /// Dust.
    Dust(DustDto),
}

/// A gas or vapour.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Gas)]
pub struct GasDto {
    /// The usual name.
    pub name: &'static str,
    /// How the query found it.
    #[serde(flatten)]
    pub found: FoundDto,
    /// CAS number.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub cas: &'static str,
    /// Other names.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub synonyms: &'static [&'static str],
    /// Formulas.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub formulas: &'static [&'static str],
    /// Equipment group; left out where no source names it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gas_group: Option<GasGroupDto>,
    /// Group letter of the NEC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nec_group: Option<String>,
    /// Auto-ignition temperatures, °C, one a table; the lowest is used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ignition_c: Vec<ValueDto>,
    /// Class that the lowest ignition temperature asks for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub t_class: Option<String>,
    /// Flash points, °C.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub flash_c: Vec<ValueDto>,
    /// Lower flammable limits, % by volume.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lfl_percent: Vec<ValueDto>,
    /// Upper flammable limits, % by volume.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ufl_percent: Vec<ValueDto>,
    /// What else is to be known.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub remark: &'static str,
}

/// How a query found a row; both keys are left out where nothing was looked for.
// Its members are optional, not the whole: a flattened `Option` is documented as a choice between
// both keys and null, which a row without them is not.
#[derive(Debug, Clone, Default, PartialEq, Serialize, ToSchema)]
#[schema(as = Found)]
pub struct FoundDto {
    /// The name, synonym, formula or number that matched.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub matched: Option<&'static str>,
    /// How near, 0 to 1; 1 is the same name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub likeness: Option<f64>,
}

/// Equipment group of a gas.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = GasGroup)]
pub struct GasGroupDto {
    /// The stricter group where sources differ.
    pub group: String,
    /// Maximum experimental safe gap, mm, as given.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub mesg_mm: &'static str,
    /// Who says so.
    pub source: &'static str,
    /// `checked`, `memory` or `practice`.
    pub known: String,
}

/// A dust. Only a laboratory value of the actual dust counts.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Dust)]
pub struct DustDto {
    /// The usual name.
    pub name: &'static str,
    /// How the query found it.
    #[serde(flatten)]
    pub found: FoundDto,
    /// Other names.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub synonyms: &'static [&'static str],
    /// Dust group, the stricter where it may be two.
    pub dust_group: String,
    /// `unless measured` and the like.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub dust_group_note: &'static str,
    /// Ignition temperature of the cloud.
    pub cloud_ignition_c: RangeDto,
    /// Ignition temperature of a 5 mm layer; left out where it melts first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer_ignition_c: Option<RangeDto>,
    /// True where it may melt before it ignites.
    pub melts: bool,
    /// True for organic dust that may dehydrate or carbonise.
    pub organic: bool,
    /// Highest permissible surface temperature of the lower ends, °C.
    pub limit_c: Number,
    /// What else is to be known.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub remark: &'static str,
}

/// One number with the table that it stands in.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = SourcedValue)]
pub struct ValueDto {
    /// The number, in the unit of its key.
    pub value: Number,
    /// Table and edition.
    pub source: &'static str,
    /// `checked`, `memory` or `practice`.
    pub known: String,
}

/// A range met in public tables, °C. A verdict uses the lower end only.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = SourcedRange)]
pub struct RangeDto {
    /// Lower end.
    pub low: Number,
    /// Upper end.
    pub high: Number,
    /// True where the upper end is "above" that number.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub open: bool,
    /// `checked`, `memory` or `practice`.
    pub known: String,
}

const NOTE: &str = "Convenience only: the safety data sheet or a laboratory value of the actual \
                    substance wins.";

impl SubstancesDto {
    /// What the query finds; without one, the whole table.
    pub fn find(query: Option<&str>) -> Self {
        let substances = match query {
            Some(query) => find(query).iter().map(SubstanceDto::found).collect(),
            None => gases()
                .iter()
                .map(|gas| SubstanceDto::Gas(GasDto::new(gas, FoundDto::default())))
                .chain(
                    dusts()
                        .iter()
                        .map(|dust| SubstanceDto::Dust(DustDto::new(dust, FoundDto::default()))),
                )
                .collect(),
        };
        Self {
            substances,
            note: NOTE,
        }
    }

    /// The one row that a query with a slip of the pen means; none where none or several do.
    pub fn nearest(query: &str) -> Option<Self> {
        let hit = nearest(query)?;
        Some(Self {
            substances: vec![SubstanceDto::found(&hit)],
            note: NOTE,
        })
    }

    /// Only the rows whose name is the same as the query's.
    #[must_use]
    pub fn exact(mut self) -> Self {
        self.substances.retain(|s| s.likeness() >= 1.0);
        self
    }
}

impl SubstanceDto {
    fn found(hit: &Hit) -> Self {
        let found = FoundDto {
            matched: Some(hit.matched),
            likeness: Some(super::rounded(hit.score, 3)),
        };
        match hit.kind {
            Kind::Gas => Self::Gas(GasDto::new(&gases()[hit.row], found)),
            Kind::Dust => Self::Dust(DustDto::new(&dusts()[hit.row], found)),
        }
    }

    /// The usual name.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Gas(gas) => gas.name,
            Self::Dust(dust) => dust.name,
        }
    }

    fn likeness(&self) -> f64 {
        let found = match self {
            Self::Gas(gas) => &gas.found,
            Self::Dust(dust) => &dust.found,
        };
        found.likeness.unwrap_or(0.0)
    }
}

impl GasDto {
    fn new(gas: &'static Substance, found: FoundDto) -> Self {
        Self {
            name: gas.name,
            found,
            cas: gas.cas,
            synonyms: gas.synonyms,
            formulas: gas.formulas,
            gas_group: gas.group.as_ref().map(|g| GasGroupDto {
                group: g.group.to_string(),
                mesg_mm: g.mesg_mm,
                source: g.sources,
                known: g.known.to_string(),
            }),
            nec_group: gas.nec_group.map(String::from),
            ignition_c: values(gas.ignition_c),
            t_class: gas
                .lowest_ignition()
                .and_then(|ignition| class_below(ignition.value))
                .map(|class| class.to_string()),
            flash_c: values(gas.flash_c),
            lfl_percent: values(gas.lfl_percent),
            ufl_percent: values(gas.ufl_percent),
            remark: gas.note,
        }
    }
}

/// The hottest class whose surface stays below the ignition temperature.
fn class_below(ignition_c: f64) -> Option<TClass> {
    TClass::all().find(|class| !class.is_american() && class.limit_c() < ignition_c)
}

impl DustDto {
    fn new(dust: &'static Dust, found: FoundDto) -> Self {
        Self {
            name: dust.name,
            found,
            synonyms: dust.synonyms,
            dust_group: dust.group.to_string(),
            dust_group_note: dust.group_note,
            cloud_ignition_c: (&dust.cloud).into(),
            layer_ignition_c: dust.layer.as_ref().map(Into::into),
            melts: dust.melts,
            organic: dust.organic,
            limit_c: Number(dust.limit_c),
            remark: dust.note,
        }
    }
}

impl From<&Range> for RangeDto {
    fn from(range: &Range) -> Self {
        Self {
            low: Number(range.low_c),
            high: Number(range.high_c),
            open: range.open,
            known: range.known.to_string(),
        }
    }
}

fn values(values: &[Value]) -> Vec<ValueDto> {
    values
        .iter()
        .map(|v| ValueDto {
            value: Number(v.value),
            source: v.source,
            known: v.known.to_string(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gas_by_name_and_by_number() {
        for query in ["ethanol", "64-17-5"] {
            let found = SubstancesDto::find(Some(query)).exact();
            let [SubstanceDto::Gas(gas)] = found.substances.as_slice() else {
                panic!("{query}: {found:?}");
            };
            assert_eq!(gas.name, "ethanol");
            assert_eq!(gas.gas_group.as_ref().unwrap().group, "IIB");
            assert_eq!(gas.t_class.as_deref(), Some("T2"));
        }
    }

    #[test]
    fn the_class_stays_strictly_below_ignition() {
        assert_eq!(class_below(450.0), Some(TClass::T2));
        assert_eq!(class_below(451.0), Some(TClass::T1));
        assert_eq!(class_below(90.0), Some(TClass::T6));
        assert_eq!(class_below(85.0), None);
    }

    #[test]
    fn near_names_are_shown_but_never_taken() {
        let near = SubstancesDto::find(Some("ethnol"));
        assert_eq!(near.substances[0].name(), "ethanol");
        assert!(near.exact().substances.is_empty());
    }

    #[test]
    fn the_whole_table_can_be_written() {
        let all = SubstancesDto::find(None);
        assert_eq!(all.substances.len(), gases().len() + dusts().len());
        assert!(
            serde_json::to_string(&all)
                .unwrap()
                .contains("\"kind\":\"dust\"")
        );
    }
}
