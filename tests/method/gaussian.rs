//! Gaussian estimates whose precision is block tridiagonal with a border, against dense algebra, and
//! the smooth field's prior against its covariance.

use nalgebra::{DMatrix, DVector};
use ribwright::fit::field::Field;
use ribwright::maths::information::{Functional, Information, Shape};

fn inner(shape: &Shape) -> usize {
    shape.blocks * shape.size
}

/// A random problem with its dense twin.
fn problem(shape: Shape) -> (Information, DMatrix<f64>, DVector<f64>, Vec<Functional>) {
    let mut state = 7u64;
    let mut random = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) as f64 / (1u64 << 31) as f64 - 0.5
    };
    let (n, total) = (inner(&shape), inner(&shape) + shape.border);
    let mut information = Information::new(shape);
    let (mut dense, mut rhs) = (DMatrix::identity(total, total), DVector::zeros(total));
    (0..n).for_each(|r| information.add_inner(r, r, 1.0));
    (0..shape.border).for_each(|r| information.add_border(r, 1.0));
    for r in shape.size..n {
        let w = 0.3 * random();
        information.add_inner(r, r - shape.size, w);
        dense[(r, r - shape.size)] += w;
        dense[(r - shape.size, r)] += w;
    }
    let functionals: Vec<Functional> = (0..3 * shape.blocks)
        .map(|k| Functional {
            block: k % shape.blocks,
            inner: (0..shape.size).map(|p| (p, random())).collect(),
            border: (0..shape.border).map(|p| (p, random())).collect(),
            offset: random(),
        })
        .collect();
    for f in &functionals {
        let (value, precision) = (random(), 1.0 + random());
        information.add(f, value, precision);
        let h = dense_functional(&shape, f);
        dense += precision * &h * h.transpose();
        rhs += precision * (value - f.offset) * h;
    }
    // Differences of two: of the same block, and of adjacent ones.
    for (f, g) in functionals.iter().zip(functionals.iter().skip(shape.blocks).chain(&functionals[1..])) {
        if f.block.abs_diff(g.block) <= 1 {
            let (precision, pull, [a, b]) = (1.0 + random(), random(), [1.0 + random(), 1.0 + random()]);
            information.add_difference((a, f), (b, g), precision, pull);
            let h = a * dense_functional(&shape, f) - b * dense_functional(&shape, g);
            dense += precision * &h * h.transpose();
            rhs += pull * h;
        }
    }
    (information, dense, rhs, functionals)
}

fn dense_functional(shape: &Shape, f: &Functional) -> DVector<f64> {
    let mut h = DVector::zeros(inner(shape) + shape.border);
    f.inner.iter().for_each(|&(p, v)| h[f.block * shape.size + p] = v);
    f.border.iter().for_each(|&(p, v)| h[inner(shape) + p] = v);
    h
}

#[test]
fn the_estimate_agrees_with_dense_algebra() {
    for shape in [
        Shape { blocks: 5, size: 3, border: 4 },
        Shape { blocks: 1, size: 2, border: 3 },
        Shape { blocks: 9, size: 1, border: 1 },
    ] {
        let (information, dense, rhs, functionals) = problem(shape);
        let estimate = information.factor().expect("positive definite");
        let inverse = dense.clone().try_inverse().expect("regular");
        let x = &inverse * &rhs;
        let covariance = estimate.covariance();
        for f in &functionals {
            let h = dense_functional(&shape, f);
            assert!((estimate.value(f) - f.offset - h.dot(&x)).abs() < 1e-12);
            assert!((covariance.variance(f) - h.dot(&(&inverse * &h))).abs() < 1e-12);
            for g in functionals.iter().filter(|g| f.block.abs_diff(g.block) <= 1) {
                let both = h.dot(&(&inverse * dense_functional(&shape, g)));
                assert!((covariance.between(f, g) - both).abs() < 1e-12);
            }
        }
        assert!((estimate.log_determinant() - dense.determinant().ln()).abs() < 1e-10);
        assert!((estimate.explained() - rhs.dot(&x)).abs() < 1e-12);
    }
}

#[test]
fn draws_have_the_stated_covariance() {
    let shape = Shape { blocks: 3, size: 2, border: 2 };
    let (information, dense, _, _) = problem(shape);
    let estimate = information.factor().expect("positive definite");
    // Feeding unit vectors gives the columns of a square root of the covariance.
    let total = inner(&shape) + shape.border;
    let mut sum = DMatrix::zeros(total, total);
    for k in 0..total {
        let mut count = 0;
        let (inner, outer) = estimate.draw(|| {
            count += 1;
            f64::from(u8::from(count == k + 1))
        });
        let centred: Vec<f64> = inner
            .iter()
            .zip(&estimate.inner)
            .map(|(a, b)| a - b)
            .chain((outer - &estimate.outer).iter().copied())
            .collect();
        let column = DVector::from_vec(centred);
        sum += &column * column.transpose();
    }
    let inverse = dense.try_inverse().expect("regular");
    assert!((sum - inverse).amax() < 1e-12);
}

#[test]
fn a_fields_prior_has_the_stated_covariance() {
    let arc = [0.0, 3.0, 3.5, 40.0, 41.0, 200.0];
    let field = Field { amplitude: 0.3, length: 50.0 };
    let shape = Shape { blocks: arc.len(), size: 3, border: 1 };
    let mut information = Information::new(shape);
    let log_determinant = field.add_prior(&mut information, &arc, 3, 1);
    (0..arc.len()).for_each(|i| information.add_inner(3 * i, 3 * i, 1.0));
    information.add_border(0, 1.0);
    let estimate = information.factor().expect("positive definite");
    assert!((estimate.log_determinant() - log_determinant).abs() < 1e-9);
    let value = |block| Functional { block, inner: vec![(1, 1.0)], ..Functional::default() };
    let covariance = estimate.covariance();
    for i in 0..arc.len() {
        assert!((covariance.variance(&value(i)) - 0.09).abs() < 1e-9);
    }
    // An observation at one station moves the others by the correlation.
    let mut information = Information::new(shape);
    field.add_prior(&mut information, &arc, 3, 1);
    (0..arc.len()).for_each(|i| information.add_inner(3 * i, 3 * i, 1.0));
    information.add_border(0, 1.0);
    information.add(&value(2), 1.0, 1e9);
    let estimate = information.factor().expect("positive definite");
    for i in 0..arc.len() {
        let want = field.correlation(arc[i] - arc[2]);
        assert!((estimate.value(&value(i)) - want).abs() < 1e-6, "{i}");
    }
}
