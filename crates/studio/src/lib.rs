//! The studio: the local web server that shows a painting's plan in the painter's browser, and the page.

pub mod edit;
pub mod view;
