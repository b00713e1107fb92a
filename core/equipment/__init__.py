"""The register of equipment: gauges, setting standards, vee blocks, thermometers, torque tools."""
