"""The knowledge base: models, the one loader, references and checks."""
