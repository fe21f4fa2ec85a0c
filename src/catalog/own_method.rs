//! A person's own way of sealing, laid over the catalogue's.

use thiserror::Error;

use super::methods::{MethodRow, ServeRow, UNITS};
use super::read::{ROW_NAME, is_row_name};
use super::store::Catalog;

/// What is wrong with a way of sealing.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the method `{id}`: {wrong}")]
pub struct MethodFault {
    /// Its id, as given.
    pub id: String,
    /// What is wrong: lower case, no final stop.
    pub wrong: String,
    /// What to write instead.
    pub hint: String,
}

impl Catalog {
    /// Adds a way of sealing, as the one best suited to the joint types named; a known id replaces its figures.
    ///
    /// Every figure needs the source that stands in `method`. What is fastened first, and the caution at such a joint,
    /// stay those of the joint type. [`crate::system::build`] with this catalogue then offers the method wherever such a
    /// seam is in reach.
    ///
    /// # Errors
    /// [`MethodFault`]: an id that is none, a text or source left empty, a figure out of its bounds (those of the built-in
    /// table), a joint type that is not there or that nobody can seal. Then nothing is laid over.
    ///
    /// # Examples
    /// ```
    /// use ductseam::catalog::{Catalog, MethodRow};
    ///
    /// let brush = Catalog::builtin().method("mastic").expect("built in").clone();
    /// let own = MethodRow { id: "own-brush".into(), minutes_each: 2.0, ..brush };
    /// let catalog = Catalog::builtin().clone().with_method(own.clone(), &["takeoff-tab-collar"]).unwrap();
    /// let collar = catalog.joint("takeoff-tab-collar").expect("built in");
    /// assert_eq!(catalog.served(collar).expect("served").methods[0], "own-brush");
    ///
    /// let wrong = MethodRow { remains: 1.4, ..own };
    /// let fault = Catalog::builtin().clone().with_method(wrong, &["takeoff-tab-collar"]).unwrap_err();
    /// assert_eq!(fault.to_string(), "the method `own-brush`: `remains` is 1.4");
    /// ```
    pub fn with_method(
        mut self,
        method: MethodRow,
        joints: &[&str],
    ) -> Result<Catalog, MethodFault> {
        check(&method)?;
        let rows: Vec<ServeRow> = joints
            .iter()
            .map(|joint| self.served_first(joint, &method.id))
            .collect::<Result<_, _>>()?;
        for row in rows {
            match self.serves.iter_mut().find(|old| old.id == row.id) {
                Some(old) => *old = row,
                None => self.serves.push(row),
            }
        }
        match self.methods.iter_mut().find(|old| old.id == method.id) {
            Some(old) => *old = method,
            None => self.methods.push(method),
        }
        Ok(self)
    }

    /// The row of a joint type with a method put first.
    fn served_first(&self, joint: &str, method: &str) -> Result<ServeRow, MethodFault> {
        let fault = |wrong, hint| MethodFault {
            id: method.to_owned(),
            wrong,
            hint,
        };
        let Some(found) = self.joint(joint) else {
            let hint = match self.nearest(joint) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "`ductseam catalog` lists the joint types".to_owned(),
            };
            return Err(fault(format!("no joint type is called `{joint}`"), hint));
        };
        let row = self.served(found).filter(|row| !row.methods.is_empty());
        let Some(row) = row else {
            let wrong = format!("nobody can seal `{joint}`");
            return Err(fault(wrong, "leave that joint type out".to_owned()));
        };
        let others = row.methods.iter().filter(|id| *id != method).cloned();
        Ok(ServeRow {
            id: found.id.clone(),
            methods: [method.to_owned()].into_iter().chain(others).collect(),
            ..row.clone()
        })
    }
}

fn check(method: &MethodRow) -> Result<(), MethodFault> {
    let fault = |wrong: String, hint: String| {
        Err(MethodFault {
            id: method.id.clone(),
            wrong,
            hint,
        })
    };
    if !is_row_name(&method.id) {
        return fault("this is not a name for a row".into(), ROW_NAME.into());
    }
    for (name, text, hint) in [
        ("words", &method.words, "say what is done"),
        ("material", &method.material, "name the material"),
        (
            "source",
            &method.source.text,
            "say where its figures come from",
        ),
    ] {
        if text.trim().is_empty() {
            return fault(format!("`{name}` is empty"), hint.into());
        }
    }
    if !UNITS.contains(&method.unit.as_str()) {
        let hint = format!("write one of: {}", UNITS.join(", "));
        return fault(
            format!("material is not counted in `{}`", method.unit),
            hint,
        );
    }
    if let Some((column, figure, low, high)) = method.out_of_bounds() {
        let wrong = format!("`{column}` is {figure}");
        return fault(wrong, format!("give a number from {low} to {high}"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mastic() -> MethodRow {
        Catalog::builtin()
            .method("mastic")
            .expect("built in")
            .clone()
    }

    fn wrong(change: impl Fn(&mut MethodRow), joints: &[&str]) -> MethodFault {
        let mut method = mastic();
        change(&mut method);
        let laid = Catalog::builtin().clone().with_method(method, joints);
        laid.expect_err("refused")
    }

    #[test]
    fn what_makes_no_sense_is_refused_in_words() {
        let collar = &["takeoff-tab-collar"];
        let cases = [
            (wrong(|m| m.id = "Own".into(), collar), "not a name"),
            (wrong(|m| m.source.text = " ".into(), collar), "`source`"),
            (wrong(|m| m.unit = "kg".into(), collar), "`kg`"),
            (
                wrong(|m| m.minutes_each = f64::NAN, collar),
                "`minutes_each` is NaN",
            ),
            (wrong(|m| m.gap_to_m = 2.0, collar), "`gap_to_mm` is 2000"),
            (wrong(|_| {}, &["takeoff-tab-colar"]), "takeoff-tab-colar"),
        ];
        for (fault, says) in cases {
            assert!(fault.wrong.contains(says), "{fault}");
            assert!(!fault.hint.is_empty(), "{fault}");
        }
        let near = wrong(|_| {}, &["takeoff-tab-colar"]);
        assert_eq!(near.hint, "did you mean `takeoff-tab-collar`?");
    }

    #[test]
    fn a_known_id_replaces_its_figures_and_other_joint_types_keep_their_rows() {
        let quick = MethodRow {
            minutes_each: 1.0,
            ..mastic()
        };
        let builtin = Catalog::builtin();
        let laid = builtin
            .clone()
            .with_method(quick.clone(), &["takeoff-tab-collar"])
            .expect("good");
        assert_eq!(laid.method("mastic"), Some(&quick));
        assert_eq!(laid.methods().len(), builtin.methods().len());
        let of = |catalog: &Catalog, id: &str| {
            let joint = catalog.joint(id).expect("built in");
            catalog.served(joint).expect("served").methods.clone()
        };
        assert_eq!(of(&laid, "takeoff-tab-collar")[0], "mastic");
        assert_eq!(
            of(&laid, "takeoff-side-tap"),
            of(builtin, "takeoff-side-tap")
        );
    }
}
