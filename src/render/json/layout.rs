//! The layout of a diagram as JSON.

use super::audit::document;
use crate::draw::Drawing;
use crate::draw::Sheet;
use crate::draw::drawing::Frame;
use crate::draw::drawing::Point;
use crate::model::Vehicle;
use crate::render::json::number;
use crate::render::json::v1;

/// The layout in the shape of format 1.
#[must_use]
pub fn data(vehicle: &Vehicle, drawing: &Drawing) -> v1::Layout {
    v1::Layout {
        format: v1::FORMAT,
        document: document(vehicle),
        sheets: drawing.sheets.iter().map(sheet).collect(),
    }
}

fn sheet(sheet: &Sheet) -> v1::LayoutSheet {
    let plan = &sheet.plan;
    v1::LayoutSheet {
        describes: sheet.describes.clone(),
        size: [number(sheet.width), number(sheet.height)],
        paper_mm: [number(sheet.paper_mm.0), number(sheet.paper_mm.1)],
        scale: number(sheet.scale()),
        frame: rectangle(&plan.frame),
        parts: plan.parts.iter().map(named).collect(),
        tags: plan
            .tags
            .iter()
            .map(|tag| v1::LayoutTag {
                wire: tag.wire.clone(),
                text: tag.text.clone(),
                at: rectangle(&tag.frame),
            })
            .collect(),
        terminals: plan
            .terminals
            .iter()
            .map(|(name, at)| v1::Spot {
                name: name.clone(),
                at: point(*at),
            })
            .collect(),
        runs: plan
            .runs
            .iter()
            .map(|run| v1::LayoutRun {
                wire: run.wire.clone(),
                net: run.net,
                ends: run.ends.clone(),
                points: run.points.iter().map(|at| point(*at)).collect(),
            })
            .collect(),
        leads: plan
            .leads
            .iter()
            .map(|lead| v1::LayoutLead {
                wire: lead.wire.clone(),
                from: lead.from.clone(),
                to: lead.to.clone(),
            })
            .collect(),
        labels: plan.labels.iter().map(named).collect(),
        dots: plan.dots.iter().map(|at| point(*at)).collect(),
        crowded: plan.crowded.clone(),
        crossings: plan.crossings,
        bends: plan.bends,
        length: plan.length,
    }
}

fn named((name, frame): &(String, Frame)) -> v1::Named {
    v1::Named {
        name: name.clone(),
        at: rectangle(frame),
    }
}

fn rectangle(frame: &Frame) -> v1::Rectangle {
    v1::Rectangle {
        x: number(frame.x),
        y: number(frame.y),
        width: number(frame.width),
        height: number(frame.height),
    }
}

fn point(at: Point) -> [f64; 2] {
    [number(at.0), number(at.1)]
}
