//! The class or surface temperature of a string.

use super::Reader;
use crate::grammar::ROW;
use crate::grammar::temperature;
use crate::grammar::text::Token;
use crate::marking::{DustTemperature, Temperature};

impl Reader<'_> {
    /// A surface temperature in brackets behind the class.
    pub(super) fn class_celsius(&mut self) {
        if let Ok((after, celsius)) = temperature::bracketed(self.rest()) {
            let end = self.position(after);
            self.draft.class_celsius = Some(celsius);
            self.draft.piece(self.at, end);
            self.at = end;
        }
    }

    fn dust_context(&self) -> bool {
        self.draft.is_dust() || (self.before.dust_only && !self.draft.has_gas_group())
    }

    pub(super) fn temperature(&mut self, crossed: bool) -> bool {
        if self.draft.protections.is_empty() {
            return false;
        }
        let rest = self.rest();
        if crossed && !rest.starts_with(['T', 't']) {
            return false;
        }
        let here = self.at;
        if self.draft.dust_temperature.is_none()
            && self.draft.is_dust()
            && let Ok((after, token)) = temperature::by_practice(rest).or_else(|e| {
                if self.draft.is_old_dust() {
                    temperature::class_by_practice(rest)
                } else {
                    Err(e)
                }
            })
        {
            let end = self.position(after);
            self.draft
                .dust_temperature(self.text.read(token, here, end), here, end);
            self.at = end;
            return true;
        }
        if self.draft.temperature.is_none()
            && let Ok((after, token)) = temperature::classes(rest)
        {
            if let Temperature::ByAmbient(rows) = &token.value {
                self.text.worked(ROW * rows.len());
            }
            let end = self.position(after);
            let single = matches!(token.value, Temperature::Class(_));
            let read = self.text.read(token, here, end);
            self.draft.temperature(read, here, end);
            self.at = end;
            if single {
                self.class_celsius();
            }
            return true;
        }
        if self.dust_context() || self.draft.takes_dust_temperature() {
            if self.draft.dust_temperature.is_none()
                && let Ok((after, token)) = temperature::dust(rest)
            {
                let end = self.position(after);
                self.draft
                    .dust_temperature(self.text.read(token, here, end), here, end);
                self.at = end;
                return true;
            }
        } else if let Ok((after, (token, class))) = temperature::celsius(rest) {
            let end = self.position(after);
            if self.draft.temperature.is_none() && self.draft.has_group() {
                let read = self
                    .text
                    .read(token, here, end)
                    .map(|celsius| Temperature::MaxSurface { celsius, class });
                self.draft.temperature(read, here, end);
                self.at = end;
                return true;
            }
            // Old strings for gas under a GD line carry the temperature for dust behind the class.
            if self.before.gas_and_dust
                && self.draft.dust_temperature.is_none()
                && self.draft.temperature.is_some()
                && rest.starts_with('T')
                && !crossed
            {
                let token = Token {
                    value: DustTemperature {
                        celsius: token.value,
                        layer_mm: None,
                    },
                    repair: token.repair,
                    rivals: Vec::new(),
                };
                self.draft
                    .dust_temperature(self.text.read(token, here, end), here, end);
                self.at = end;
                return true;
            }
            // A second temperature in one gas string: kept for the comparison with the class,
            // but only where `T` says that it is a surface.
            if self.draft.class_celsius.is_none()
                && self.draft.temperature.is_some()
                && rest.starts_with('T')
                && !crossed
            {
                self.draft.class_celsius = Some(token.value);
                self.draft.piece(here, end);
                self.at = end;
                return true;
            }
            return false;
        }
        if self.draft.temperature.is_none() && self.draft.unknown_class.is_none() {
            let found = temperature::unknown(rest)
                .or_else(|_| temperature::dashed(rest))
                .map(|(after, raw)| (self.position(after), raw.to_owned()));
            if let Ok((end, raw)) = found {
                self.draft.unknown_class = Some(self.text.read(Token::strict(raw), here, end));
                self.draft.piece(here, end);
                self.at = end;
                return true;
            }
        }
        false
    }
}
