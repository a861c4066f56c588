//! What the user gave over what the site file says.

use vetplate_parser::place::PlaceFields;

/// Lays what the user gave over what the site file says.
///
/// A field that was given outranks the same field of the site. Where it makes others
/// meaningless, those fall away with it, lest the values of one substance be used for
/// another: a gas drops the site's group, ignition temperature and class; a dust drops
/// group, ignition temperatures and surface limit; a zone drops the EPL that a risk
/// assessment found for the site's zone.
pub(super) fn overlay(mut site: PlaceFields, given: &PlaceFields) -> PlaceFields {
    if given.zone.is_some() && given.zone != site.zone {
        site.epl = None;
    }
    if !given.gas.is_empty() && given.gas != site.gas {
        site.gas.clear();
        site.gas_group = None;
        site.ignition_c = None;
        site.t_class = None;
    }
    if !given.dust.is_empty() && given.dust != site.dust {
        site.dust.clear();
        site.dust_group = None;
        site.cloud_ignition_c = None;
        site.layer_ignition_c = None;
        site.max_surface_c = None;
    }
    let or = |given: &Option<String>, site: Option<String>| given.clone().or(site);
    let list = |given: &Vec<String>, site: Vec<String>| {
        if given.is_empty() {
            site
        } else {
            given.clone()
        }
    };
    PlaceFields {
        zone: or(&given.zone, site.zone),
        epl: or(&given.epl, site.epl),
        gas: list(&given.gas, site.gas),
        gas_group: or(&given.gas_group, site.gas_group),
        ignition_c: or(&given.ignition_c, site.ignition_c),
        t_class: or(&given.t_class, site.t_class),
        dust: list(&given.dust, site.dust),
        dust_group: or(&given.dust_group, site.dust_group),
        cloud_ignition_c: or(&given.cloud_ignition_c, site.cloud_ignition_c),
        layer_ignition_c: or(&given.layer_ignition_c, site.layer_ignition_c),
        layer_mm: or(&given.layer_mm, site.layer_mm),
        max_surface_c: or(&given.max_surface_c, site.max_surface_c),
        ambient_c: or(&given.ambient_c, site.ambient_c),
        ip: or(&given.ip, site.ip),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(pairs: &[(&str, &str)]) -> PlaceFields {
        let mut fields = PlaceFields::default();
        for (key, value) in pairs {
            assert!(crate::answer::set_field(
                &mut fields,
                key,
                (*value).to_owned()
            ));
        }
        fields
    }

    #[test]
    fn another_gas_drops_what_the_site_says_of_its_own() {
        let site = fields(&[
            ("zone", "1"),
            ("gas", "ethanol"),
            ("gas_group", "IIB"),
            ("ignition_c", "400"),
            ("ambient_c", "-20..45"),
        ]);
        let got = overlay(site, &fields(&[("gas", "hydrogen")]));
        assert_eq!(
            got,
            fields(&[("zone", "1"), ("gas", "hydrogen"), ("ambient_c", "-20..45")])
        );
    }

    #[test]
    fn one_value_of_the_same_gas_is_replaced_alone() {
        let site = fields(&[
            ("gas", "ethanol"),
            ("gas_group", "IIA"),
            ("ignition_c", "400"),
        ]);
        let got = overlay(site, &fields(&[("gas_group", "IIB")]));
        assert_eq!(
            got,
            fields(&[
                ("gas", "ethanol"),
                ("gas_group", "IIB"),
                ("ignition_c", "400")
            ])
        );
    }

    #[test]
    fn another_zone_drops_the_level_of_the_risk_assessment() {
        let site = fields(&[("zone", "1"), ("epl", "Gc")]);
        let got = overlay(site.clone(), &fields(&[("zone", "0")]));
        assert_eq!(got, fields(&[("zone", "0")]));
        assert_eq!(overlay(site.clone(), &fields(&[("zone", "1")])), site);
    }

    #[test]
    fn another_dust_drops_the_values_of_the_first() {
        let site = fields(&[
            ("dust", "grain"),
            ("dust_group", "IIIB"),
            ("cloud_ignition_c", "420"),
            ("layer_ignition_c", "290"),
            ("layer_mm", "5"),
        ]);
        let got = overlay(site, &fields(&[("dust", "aluminium")]));
        assert_eq!(got, fields(&[("dust", "aluminium"), ("layer_mm", "5")]));
    }
}
