//! The smallest program that runs a three-line Rhai script and writes what it gives to a file.

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("a file to write is missing")?;
    let text = "let a = 40;\nlet b = 2;\n(a + b).to_string()";
    let given = rhai::Engine::new().eval::<String>(text).map_err(|e| e.to_string())?;
    std::fs::write(path, given)?;
    Ok(())
}
