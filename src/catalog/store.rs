//! The catalogue as a whole: the built-in tables, and a user's rows laid over them.

use std::sync::OnceLock;

use super::alternatives::{Alternative, read_alternatives};
use super::error::CatalogError;
use super::evidence::{LookFigures, LookRow, TaskRow, read_looks, read_tasks};
use super::joints::read_joints;
use super::limit_rows::{read_classes, read_limits};
use super::limits::{ClassRow, ClassScale, Limit, plain_id};
use super::methods::{MethodRow, ServeRow, read_methods, read_serves, served};
use super::read::nearest;
use super::tables::{read_components, read_exponents, read_fittings, read_roughness};
use super::types::{Component, Exponent, Fitting, JointType, Roughness};

/// The built-in joint types as a table: the form that a person's own file has too.
pub const JOINTS_CSV: &str = include_str!("data/joints.csv");

/// Errors of an overlay that are told; the rest is counted.
const KEPT: usize = 200;

/// Joint types, roughness, fittings, components and exponents, with look-up by id.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalog {
    joints: Vec<JointType>,
    roughness: Vec<Roughness>,
    fittings: Vec<Fitting>,
    components: Vec<Component>,
    exponents: Vec<Exponent>,
    look_figures: LookFigures,
    look_rows: Vec<LookRow>,
    tasks: Vec<TaskRow>,
    pub(super) methods: Vec<MethodRow>,
    pub(super) serves: Vec<ServeRow>,
    alternatives: Vec<Alternative>,
    limits: Vec<Limit>,
    classes: Vec<ClassRow>,
}

impl Catalog {
    /// The built-in catalogue.
    ///
    /// # Panics
    /// If the built-in tables are wrong, which a test excludes.
    ///
    /// # Examples
    /// ```
    /// use ductseam::catalog::{Catalog, Work};
    /// let collar = Catalog::builtin().joint("flex-collar").expect("a built-in row");
    /// // 1.30 L/s per metre of circumference at 25 Pa, unsealed
    /// assert!((collar.state(Work::Unsealed).mean_q25 - 1.30e-3).abs() < 1e-12);
    /// ```
    pub fn builtin() -> &'static Catalog {
        static BUILTIN: OnceLock<Catalog> = OnceLock::new();
        BUILTIN.get_or_init(|| {
            let mut errors = Vec::new();
            let looks = include_str!("data/looks.csv");
            let (look_figures, look_rows) = read_looks(looks, "looks.csv", &mut errors);
            let methods =
                read_methods(include_str!("data/methods.csv"), "methods.csv", &mut errors);
            let serves = include_str!("data/serves.csv");
            let serves = read_serves(serves, "serves.csv", &methods, &mut errors);
            let joints = read_joints(JOINTS_CSV, "joints.csv", false, &mut errors);
            let alternatives = include_str!("data/alternatives.csv");
            let alternatives =
                read_alternatives(alternatives, "alternatives.csv", &joints, &mut errors);
            let catalog = Catalog {
                joints,
                roughness: read_roughness(
                    include_str!("data/roughness.csv"),
                    "roughness.csv",
                    &mut errors,
                ),
                fittings: read_fittings(
                    include_str!("data/fittings.csv"),
                    "fittings.csv",
                    &mut errors,
                ),
                components: read_components(
                    include_str!("data/components.csv"),
                    "components.csv",
                    &mut errors,
                ),
                exponents: read_exponents(
                    include_str!("data/exponents.csv"),
                    "exponents.csv",
                    &mut errors,
                ),
                look_figures,
                look_rows,
                tasks: read_tasks(include_str!("data/tasks.csv"), "tasks.csv", &mut errors),
                methods,
                serves,
                alternatives,
                limits: read_limits(include_str!("data/limits.csv"), "limits.csv", &mut errors),
                classes: read_classes(include_str!("data/classes.csv"), "classes.csv", &mut errors),
            };
            assert!(
                errors.is_empty(),
                "the built-in catalogue is wrong: {errors:?}"
            );
            catalog
        })
    }

    /// The joint types, built-in ones first, then a user's new ones, each in the order of its file.
    pub fn joints(&self) -> &[JointType] {
        &self.joints
    }

    /// The roughness rows.
    pub fn roughness_rows(&self) -> &[Roughness] {
        &self.roughness
    }

    /// The fittings.
    pub fn fittings(&self) -> &[Fitting] {
        &self.fittings
    }

    /// The components.
    pub fn components(&self) -> &[Component] {
        &self.components
    }

    /// What the flow exponents stand for.
    pub fn exponents(&self) -> &[Exponent] {
        &self.exponents
    }

    /// The tightest European class whose limit a leakage class does not pass; `None` where it passes all.
    pub fn tightness_class(&self, class_ip: f64) -> Option<&ClassRow> {
        self.classes
            .iter()
            .filter(|row| row.scale == ClassScale::Tightness)
            .filter_map(|row| Some((row, row.class_ip()?)))
            .filter(|(_, most)| class_ip <= *most)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(row, _)| row)
    }

    /// Joint types that may take the place of others in a design.
    pub fn alternatives(&self) -> &[Alternative] {
        &self.alternatives
    }

    /// What looks are worth and how large a gross leak is.
    pub fn look_figures(&self) -> &LookFigures {
        &self.look_figures
    }

    /// The same, row by row with their sources.
    pub fn look_rows(&self) -> &[LookRow] {
        &self.look_rows
    }

    /// How long looks and tests take.
    pub fn tasks(&self) -> &[TaskRow] {
        &self.tasks
    }

    /// The ways of sealing.
    pub fn methods(&self) -> &[MethodRow] {
        &self.methods
    }

    /// Which of them serve which joint type.
    pub fn serves(&self) -> &[ServeRow] {
        &self.serves
    }

    /// The way of sealing of an id.
    pub fn method(&self, id: &str) -> Option<&MethodRow> {
        self.methods.iter().find(|method| method.id == id)
    }

    /// Limits on leakage: codes, standards and programmes.
    pub fn limits(&self) -> &[Limit] {
        &self.limits
    }

    /// The limit of an id; blanks may stand for hyphens.
    pub fn limit(&self, id: &str) -> Option<&Limit> {
        let id = plain_id(id);
        self.limits.iter().find(|limit| limit.id == id)
    }

    /// The id of the limit that a misspelt one probably means.
    pub fn nearest_limit(&self, id: &str) -> Option<&str> {
        let ids = || self.limits.iter().map(|limit| limit.id.as_str());
        let start = plain_id(id);
        let begun = || ids().find(|known| start.len() >= 5 && known.starts_with(&start));
        nearest(id, ids()).or_else(begun)
    }

    /// Classes of ducts by the leakage of their surface.
    pub fn classes(&self) -> &[ClassRow] {
        &self.classes
    }

    /// How a joint type is sealed: by its own row, else by that of its group, else as any joint.
    pub fn served(&self, joint: &JointType) -> Option<&ServeRow> {
        served(&self.serves, joint)
    }

    /// The joint type of an id.
    pub fn joint(&self, id: &str) -> Option<&JointType> {
        self.joints.iter().find(|j| j.id == id)
    }

    /// The roughness of an id.
    pub fn roughness(&self, id: &str) -> Option<&Roughness> {
        self.roughness.iter().find(|r| r.id == id)
    }

    /// The fitting of an id.
    pub fn fitting(&self, id: &str) -> Option<&Fitting> {
        self.fittings.iter().find(|f| f.id == id)
    }

    /// The fitting of a trade word, such as `adjustable elbow`.
    pub fn fitting_named(&self, name: &str) -> Option<&Fitting> {
        self.fittings.iter().find(|f| f.name == name)
    }

    /// The component of an id.
    pub fn component(&self, id: &str) -> Option<&Component> {
        self.components.iter().find(|c| c.id == id)
    }

    /// The id of the joint type that a misspelt one probably means.
    pub fn nearest(&self, id: &str) -> Option<&str> {
        nearest(id, self.joints.iter().map(|j| j.id.as_str()))
    }

    /// The trade word of the fitting that a misspelt one probably means.
    pub fn nearest_fitting(&self, name: &str) -> Option<&str> {
        nearest(name, self.fittings.iter().map(|f| f.name.as_str()))
    }

    /// The id of the roughness that a misspelt one probably means.
    pub fn nearest_roughness(&self, id: &str) -> Option<&str> {
        nearest(id, self.roughness.iter().map(|r| r.id.as_str()))
    }

    /// Lays a user's joint types over these: a known id replaces its row, an unknown one is added.
    ///
    /// `file_name` is only for the messages. The columns are [`super::JOINT_COLUMNS`].
    ///
    /// # Errors
    /// Every error of the file, in the order of its lines; then nothing is laid over.
    pub fn overlay(
        mut self,
        csv_text: &str,
        file_name: &str,
    ) -> Result<Catalog, Vec<CatalogError>> {
        let mut errors = Vec::new();
        let rows = read_joints(csv_text, file_name, true, &mut errors);
        if !errors.is_empty() {
            errors.sort_by_key(|e| e.line);
            let more = errors.len().saturating_sub(KEPT);
            errors.truncate(KEPT);
            if more > 0 {
                errors.push(CatalogError {
                    file: file_name.into(),
                    line: errors.last().map_or(1, |e| e.line),
                    column: "row".into(),
                    wrong: format!("{more} more faults follow"),
                    hint: "put the first ones right, then read it again".into(),
                });
            }
            return Err(errors);
        }
        let known: std::collections::BTreeMap<String, usize> = (0..)
            .zip(&self.joints)
            .map(|(k, joint)| (joint.id.clone(), k))
            .collect();
        // An id stands once in a table.
        for row in rows {
            match known.get(&row.id) {
                Some(&k) => self.joints[k] = row,
                None => self.joints.push(row),
            }
        }
        Ok(self)
    }
}

#[cfg(test)]
#[path = "store_tests.rs"]
mod tests;
